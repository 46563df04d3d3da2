"""When questions are put and what becomes of answers, on a clock that the test sets."""

from __future__ import annotations

import pytest

from dictate.listen.asking import ANSWER_S, PAUSE_S, Answer, Asker
from dictate.listen.events import HeardUtterance, Level, Partial, Request, State, Trouble
from dictate.model import Utterance
from dictate.session import Session

STEP_S = 0.25
SIDE = "Deltoid strength: right, left or both?"


class Bedside:
    """A session with an asker, and time that passes in chunks."""

    def __init__(self, voice, player, style="speech") -> None:  # type: ignore[no-untyped-def]
        self.session = Session()
        self.voice, self.player = voice, player
        self.asker = Asker(voice, player, self.session, style)
        self.now_s = self.silent_s = 0.0
        self.heard = 0

    def wait(self, seconds: float, speech: bool = False, dbfs: float = -60.0) -> None:
        for _ in range(round(seconds / STEP_S)):
            self.now_s += STEP_S
            self.silent_s = 0.0 if speech else self.silent_s + STEP_S
            if self.player is not None:
                self.player.now_s = self.now_s
            self.asker.take(Level(dbfs), self.session)
            self.asker.tick(self.now_s, speech, self.silent_s)

    def say(self, text: str, seconds: float = 0.0, confidence: float | None = None):  # type: ignore[no-untyped-def]
        """The examiner speaks; what the loop would do with the utterance is done."""
        start = self.now_s
        if seconds:
            self.wait(seconds, speech=True)
        self.heard += 1
        words = ()
        if confidence is not None:
            from dictate.model import Word

            words = (Word(text, 0, len(text), start, self.now_s, confidence),)
        utterance = Utterance(f"u{self.heard}", text, start, self.now_s, words)
        found = self.asker.sort(utterance)
        if isinstance(found, Utterance):
            heard = self.session.hear(found)
            self.asker.take(HeardUtterance(found, heard), self.session)
        elif isinstance(found, Request):
            self.asker.take(found, self.session)
        return found

    def until_silent(self) -> None:
        """The question is over, and the examiner takes a moment."""
        while self.player.sounding():
            self.wait(STEP_S)
        self.wait(STEP_S)

    @property
    def findings(self) -> list[tuple[str | None, str | None, str]]:
        return [(f.site, f.side, f.value) for f in self.session.record().findings]


@pytest.fixture
def bedside(voice, player) -> Bedside:  # type: ignore[no-untyped-def]
    return Bedside(voice, player)


def test_a_question_waits_for_a_pause_and_is_said_once(bedside: Bedside) -> None:
    bedside.say("deltoid four plus", 1.0)
    bedside.wait(PAUSE_S - STEP_S)
    assert bedside.voice.said == []
    bedside.wait(3.0)
    assert bedside.voice.said == [SIDE]
    assert bedside.asker.question_put is not None


def test_a_question_is_never_put_over_the_examiner(bedside: Bedside) -> None:
    bedside.say("deltoid four plus", 1.0)
    bedside.wait(5.0, speech=True)
    assert bedside.voice.said == []


def test_the_answer_is_taken(bedside: Bedside) -> None:
    bedside.say("deltoid four plus", 1.0)
    bedside.wait(2.0)
    bedside.until_silent()
    answer = bedside.say("left", 0.5)
    assert isinstance(answer, Answer) and answer.heard is not None
    assert bedside.findings == [("deltoid", "left", "4+")]
    assert bedside.asker.question_put is None
    bedside.wait(20.0)
    assert bedside.voice.said == [SIDE]


def test_a_statement_instead_of_an_answer_is_a_statement(bedside: Bedside) -> None:
    bedside.say("deltoid four plus", 1.0)
    bedside.wait(4.0)
    bedside.say("right deltoid four", 1.0)
    assert bedside.findings == [("deltoid", "right", "4")]
    assert [q.prompt for q in bedside.session.record().questions] == [SIDE]


def test_after_a_statement_a_side_alone_is_no_answer_any_more(bedside: Bedside) -> None:
    bedside.say("deltoid four plus", 1.0)
    bedside.wait(4.0)
    bedside.say("right biceps reflex two plus", 1.0)
    found = bedside.say("left", 0.5)
    assert isinstance(found, Utterance)
    assert bedside.findings == [("biceps", "right", "2+")]


def test_an_answer_that_comes_too_late_is_none(bedside: Bedside) -> None:
    bedside.say("deltoid four plus", 1.0)
    bedside.wait(2.0)
    bedside.until_silent()
    bedside.wait(ANSWER_S + 1.0)
    assert bedside.asker.question_put is None
    assert isinstance(bedside.say("left", 0.5), Utterance)
    assert bedside.findings == []


def test_an_answer_that_begins_in_time_may_end_later(bedside: Bedside) -> None:
    """The loop hands an utterance out only when a silence has followed it."""
    bedside.say("deltoid four plus", 1.0)
    bedside.wait(2.0)
    bedside.until_silent()
    bedside.wait(ANSWER_S - 1.0)
    start = bedside.now_s
    bedside.wait(1.0, speech=True)
    end = bedside.now_s
    bedside.wait(0.75)
    assert isinstance(bedside.asker.sort(Utterance("u2", "left", start, end)), Answer)
    assert bedside.findings == [("deltoid", "left", "4+")]


def test_an_ignored_question_rests_until_the_next_section(bedside: Bedside) -> None:
    bedside.say("deltoid four plus", 1.0)
    bedside.wait(30.0)
    assert bedside.voice.said == [SIDE]
    bedside.say("left triceps strength five", 1.0)
    bedside.wait(5.0)
    assert bedside.voice.said == [SIDE]
    bedside.say("gait is normal", 1.0)
    bedside.wait(5.0)
    assert bedside.voice.said == [SIDE, SIDE]


def test_at_the_end_the_rest_is_asked_once_more(bedside: Bedside) -> None:
    bedside.say("deltoid four plus", 1.0)
    bedside.wait(30.0)
    assert bedside.asker.ask_the_rest()
    assert bedside.asker.busy
    bedside.wait(30.0)
    assert bedside.voice.said == [SIDE, SIDE]
    assert not bedside.asker.busy


def test_with_nothing_open_the_end_is_at_once(bedside: Bedside) -> None:
    bedside.say("right deltoid four plus", 1.0)
    assert not bedside.asker.ask_the_rest()
    assert not bedside.asker.busy


def test_one_question_at_a_time(bedside: Bedside) -> None:
    bedside.say("deltoid four plus", 1.0)
    bedside.say("knee jerk two plus", 1.0)
    bedside.wait(4.0)
    assert len(bedside.voice.said) == 1
    bedside.until_silent()
    bedside.say("right", 0.5)
    bedside.wait(4.0)
    assert len(bedside.voice.said) == 2
    bedside.until_silent()
    bedside.say("left", 0.5)
    assert bedside.findings == [("deltoid", "right", "4+"), ("knee", "left", "2+")]


def test_a_patients_left_is_no_answer(bedside: Bedside) -> None:
    """While the examiner is with the patient, nothing is asked."""
    bedside.say("deltoid four plus", 1.0)
    bedside.say("tell me which side i touch", 1.0)
    bedside.wait(5.0)
    bedside.say("left", 0.5)
    bedside.wait(5.0)
    assert bedside.voice.said == []
    bedside.say("left triceps strength five", 1.0)
    bedside.wait(3.0)
    assert bedside.voice.said == [SIDE]


def test_talk_with_the_patient_ends_the_time_for_an_answer(bedside: Bedside) -> None:
    bedside.say("deltoid four plus", 1.0)
    bedside.wait(4.0)
    bedside.say("which side do you feel", 1.0)
    bedside.say("left", 0.5)
    assert bedside.findings == []


@pytest.mark.parametrize("words", ["say the question again", "repeat"])
def test_repeat_says_it_again(bedside: Bedside, words: str) -> None:
    bedside.say("deltoid four plus", 1.0)
    bedside.wait(2.0)
    bedside.until_silent()
    bedside.say(words, 1.0)
    bedside.wait(3.0)
    assert bedside.voice.said == [SIDE, SIDE]
    bedside.until_silent()
    bedside.say("both", 0.5)
    assert len(bedside.findings) == 2


def test_what_can_i_say_tells_the_answers_and_waits_on(bedside: Bedside) -> None:
    bedside.say("deltoid four plus", 1.0)
    bedside.wait(2.0)
    bedside.until_silent()
    assert isinstance(bedside.say("what can I say", 1.0), Request)
    bedside.wait(3.0)
    told = bedside.voice.said[-1]
    for answer in ("right, left, both or none of these", "not tested", "not sure"):
        assert answer in told
    bedside.until_silent()
    bedside.say("both", 0.5)
    assert len(bedside.findings) == 2


def test_later_lets_it_rest_and_skip_ends_it(bedside: Bedside) -> None:
    bedside.say("deltoid four plus", 1.0)
    bedside.wait(4.0)
    assert isinstance(bedside.say("later", 0.5), Request)
    bedside.wait(20.0)
    assert bedside.voice.said == [SIDE]
    bedside.asker.ask_the_rest()
    bedside.wait(4.0)
    answer = bedside.say("skip", 0.5)
    assert isinstance(answer, Answer) and answer.words == "skip"
    bedside.wait(20.0)
    assert not bedside.asker.busy
    assert bedside.findings == []


def test_an_unsure_answer_is_not_taken_and_asked_again(bedside: Bedside) -> None:
    bedside.say("deltoid four plus", 1.0)
    bedside.wait(4.0)
    answer = bedside.say("left", 0.5, confidence=0.3)
    assert isinstance(answer, Answer) and answer.heard is None
    assert bedside.findings == []
    bedside.wait(4.0)
    assert bedside.voice.said == [SIDE, SIDE]


def test_an_answer_that_stays_unsure_is_not_asked_for_ever(bedside: Bedside) -> None:
    bedside.say("deltoid four plus", 1.0)
    for _ in range(10):
        bedside.wait(4.0)
        bedside.say("left", 0.5, confidence=0.3)
    assert len(bedside.voice.said) == 3
    assert bedside.findings == []


def test_while_nobody_is_listened_to_nothing_is_asked(bedside: Bedside) -> None:
    bedside.say("deltoid four plus", 1.0)
    bedside.asker.take(State("always", False, "pause"), bedside.session)
    bedside.wait(10.0)
    assert bedside.voice.said == []
    bedside.asker.take(State("always", True, "start"), bedside.session)
    bedside.wait(3.0)
    assert bedside.voice.said == [SIDE]


def test_a_pause_breaks_the_question_off(bedside: Bedside) -> None:
    ask_now(bedside)
    bedside.asker.take(State("always", False, "pause"), bedside.session)
    assert not bedside.player.sounding()
    assert bedside.asker.question_put is None


def test_the_end_of_a_question_breaks_nothing_else_off(bedside: Bedside) -> None:
    bedside.asker.take(Trouble("The disk is nearly full."), bedside.session)
    bedside.wait(1.25)
    assert bedside.player.sounding()
    bedside.asker.take(State("always", False, "pause"), bedside.session)
    assert bedside.player.sounding()


def test_the_words_on_the_screen_are_the_examiners(bedside: Bedside) -> None:
    ask_now(bedside)
    assert bedside.asker.examiners("deltoid strength right") == ""
    assert bedside.asker.examiners("deltoid strength right left or both left") == "left"
    bedside.wait(10.0)
    assert bedside.asker.examiners("deltoid strength four") == "deltoid strength four"


def test_what_was_passed_over_in_an_earlier_run_is_not_asked_again(voice, player) -> None:  # type: ignore[no-untyped-def]
    bedside = Bedside(voice, player)
    bedside.session.hear(Utterance("u0", "deltoid four plus"))
    bedside.session.answer("q1", "skip")
    bedside.wait(10.0)
    assert voice.said == []


def test_a_trouble_is_said_even_then(bedside: Bedside) -> None:
    bedside.asker.take(State("always", False, "microphone"), bedside.session)
    bedside.asker.take(Trouble("The microphone is gone."), bedside.session)
    bedside.wait(2.0)
    assert bedside.voice.said == ["The microphone is gone."]


def test_the_last_finding_and_what_is_missing_are_said(bedside: Bedside) -> None:
    bedside.say("right deltoid four plus", 1.0)
    bedside.say("say the last finding again", 1.0)
    bedside.wait(8.0)
    bedside.say("what is still missing", 1.0)
    bedside.wait(3.0)
    last, missing = bedside.voice.said
    assert "right deltoid" in last and "four plus" in last
    assert missing.startswith("No finding recorded for: ") and "strength" not in missing


# ---- the examiner interrupts


def learn_own_voice(bedside: Bedside, dbfs: float) -> None:
    """One whole sentence, heard at a level."""
    bedside.wait(2.0)
    bedside.asker.take(Trouble("Everything is well again."), bedside.session)
    bedside.wait(STEP_S)
    while bedside.player.sounding():
        bedside.wait(STEP_S, speech=dbfs > -50, dbfs=dbfs)
    bedside.wait(2.0)


def ask_now(bedside: Bedside) -> None:
    bedside.say("deltoid four plus", 1.0)
    while not bedside.player.sounding():
        bedside.wait(STEP_S)


@pytest.mark.parametrize(("own", "examiner"), [(-60.0, -30.0), (-35.0, -25.0)])
def test_it_stops_when_the_examiner_begins(bedside: Bedside, own: float, examiner: float) -> None:
    """With headphones, where its voice is not heard, and with a loudspeaker."""
    learn_own_voice(bedside, own)
    ask_now(bedside)
    bedside.wait(0.5, speech=True, dbfs=examiner)
    assert bedside.player.stopped == 1
    assert not bedside.player.sounding()


def test_it_does_not_stop_for_its_own_voice(bedside: Bedside) -> None:
    learn_own_voice(bedside, -35.0)
    ask_now(bedside)
    heard = ["deltoid", "deltoid strength", "deltoid strength right", "deltoid strength right left"]
    for text in heard:
        bedside.asker.take(Partial(text), bedside.session)
        bedside.wait(STEP_S, speech=True, dbfs=-34.0)
    assert bedside.player.stopped == 0


def test_it_stops_for_words_that_are_not_its_own(bedside: Bedside) -> None:
    ask_now(bedside)
    for text in ("gait is normal", "gait is normal and steady"):
        bedside.asker.take(Partial(text), bedside.session)
        bedside.wait(STEP_S, speech=True, dbfs=-34.0)
    assert bedside.player.stopped == 1


# ---- without a voice


def test_a_tone_stands_for_a_question(player) -> None:  # type: ignore[no-untyped-def]
    bedside = Bedside(None, player, "tone")
    bedside.say("deltoid four plus", 1.0)
    bedside.wait(2.0)
    assert [round(sound.duration_s, 2) for sound in player.played] == [0.24]
    bedside.say("left", 0.5)
    assert bedside.findings == [("deltoid", "left", "4+")]
    assert bedside.asker.lacks == ""


def test_without_a_voice_a_tone_and_a_word_about_it(player) -> None:  # type: ignore[no-untyped-def]
    bedside = Bedside(None, player, "speech")
    bedside.say("deltoid four plus", 1.0)
    bedside.wait(2.0)
    assert len(player.played) == 1
    assert "No voice" in bedside.asker.lacks


def test_on_the_screen_alone_the_answer_is_taken_too(voice) -> None:  # type: ignore[no-untyped-def]
    bedside = Bedside(voice, None, "screen")
    bedside.say("deltoid four plus", 1.0)
    bedside.wait(2.0)
    assert voice.said == []
    assert bedside.asker.question_put is not None
    bedside.say("both", 0.5)
    assert len(bedside.findings) == 2


def test_a_loudspeaker_that_goes_leaves_the_screen(voice, player) -> None:  # type: ignore[no-untyped-def]
    from dictate.errors import UsageError

    def gone(sound: object) -> None:
        raise UsageError("The loudspeaker is gone.")

    player.play = gone
    bedside = Bedside(voice, player)
    bedside.say("deltoid four plus", 1.0)
    bedside.wait(2.0)
    assert bedside.asker.lacks == "The loudspeaker is gone."
    bedside.say("left", 0.5)
    assert bedside.findings == [("deltoid", "left", "4+")]
