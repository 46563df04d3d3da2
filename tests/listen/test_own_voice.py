"""The tool's own words are left out; the examiner's are kept, or asked about."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from dictate.listen.own_voice import DOUBTED, SpokenSentence, without_own_voice
from dictate.model import Disputed, Hearing, Utterance, Word
from dictate.resolve.resolver import UNSURE
from dictate.session import Session

MIXTURES = yaml.safe_load(Path(__file__).with_name("mixtures.yaml").read_text(encoding="utf-8"))
ALONE = [mixture for mixture in MIXTURES if not mixture["said"]]
ANSWERED = [mixture for mixture in MIXTURES if mixture["said"]]


def name(mixture: dict[str, object]) -> str:
    return f"{mixture['spoken']}-{mixture['said']}-{mixture['at']}-{mixture['loudness']}"


def heard(mixture: dict[str, str]) -> Utterance:
    words: list[Word] = []
    position = 0
    for entry in mixture["heard"].split():
        text, rest = entry.split("@")
        times, sure = rest.split("/")
        start, end = map(float, times.split("-"))
        words.append(Word(text, position, position + len(text), start, end, float(sure)))
        position += len(text) + 1
    text = " ".join(word.text for word in words)
    return Utterance("u1", text, words[0].start_s, words[-1].end_s, tuple(words))


def spoken(mixture: dict[str, object], late_s: float = 0.0) -> SpokenSentence:
    lasts, start = float(str(mixture["lasts"])), 1.0 + late_s
    return SpokenSentence(tuple(str(mixture["spoken"]).split()), start, start + lasts, lasts)


def marked(utterance: Utterance | None) -> str:
    if utterance is None:
        return ""
    assert " ".join(word.text for word in utterance.words) == utterance.text.replace(".", "")
    for word in utterance.words:
        assert utterance.text[word.start : word.end] == word.text
    return " ".join(
        word.text + ("?" if word.confidence is not None and word.confidence <= DOUBTED else "")
        for word in utterance.words
    )


def test_there_are_enough_mixtures() -> None:
    assert len(ALONE) >= 10 and len(ANSWERED) >= 50
    assert DOUBTED < UNSURE


@pytest.mark.parametrize("mixture", MIXTURES, ids=name)
def test_of_two_voices_the_examiners_is_left(mixture: dict[str, str]) -> None:
    assert marked(without_own_voice(heard(mixture), [spoken(mixture)])) == mixture["left"]


@pytest.mark.parametrize("late_s", [-0.25, -0.1, 0.1, 0.25])
@pytest.mark.parametrize("mixture", ALONE, ids=name)
def test_its_own_voice_is_known_though_the_clocks_differ(
    mixture: dict[str, str], late_s: float
) -> None:
    assert without_own_voice(heard(mixture), [spoken(mixture, late_s)]) is None


@pytest.mark.parametrize("mixture", ALONE, ids=name)
def test_its_own_voice_in_two_utterances_is_known_in_both(mixture: dict[str, str]) -> None:
    """A recogniser may end an utterance at the tool's own colon."""
    whole = heard(mixture)
    for cut in range(1, len(whole.words)):
        for words in (whole.words[:cut], whole.words[cut:]):
            text = " ".join(word.text for word in words)
            part = Utterance("u1", text, words[0].start_s, words[-1].end_s, words)
            assert marked(without_own_voice(part, [spoken(mixture)])) in ("", _doubted(text)), text


def _doubted(text: str) -> str:
    return " ".join(f"{word}?" for word in text.split())


@pytest.mark.parametrize("mixture", ALONE, ids=name)
def test_what_was_said_at_another_time_is_not_touched(mixture: dict[str, str]) -> None:
    """The examiner may say the very words of a question."""
    for late_s in (-20.0, 20.0):
        utterance = heard(mixture)
        assert without_own_voice(utterance, [spoken(mixture, late_s)]) == utterance


@pytest.mark.parametrize("mixture", ANSWERED, ids=name)
def test_no_word_of_the_answer_is_lost_without_a_trace(mixture: dict[str, str]) -> None:
    """What the recogniser heard after the question's end is there afterwards, sure or not."""
    sentence, utterance = spoken(mixture), heard(mixture)
    after = [w.text for w in utterance.words if (w.start_s or 0) > sentence.end_s]
    left = marked(without_own_voice(utterance, [sentence])).replace("?", "").split()
    assert left[len(left) - len(after) :] == after


def test_nothing_spoken_leaves_everything() -> None:
    utterance = Utterance("u1", "right deltoid four", 1.0, 2.0)
    assert without_own_voice(utterance, []) is utterance


def test_with_headphones_the_examiners_words_stay() -> None:
    """Nothing of the tool is heard; one word happens to be in its sentence, at its time."""
    sentence = SpokenSentence(("deltoid", "strength", "right", "left", "or", "both"), 0, 2.5, 2.5)
    words, at = [], 0
    for text, start_s in (("right", 1.25), ("biceps", 1.5), ("four", 1.9)):
        words.append(Word(text, at, at + len(text), start_s, start_s + 0.25, 1.0))
        at += len(text) + 1
    utterance = Utterance("u1", "right biceps four", 1.25, 2.2, tuple(words))
    left = without_own_voice(utterance, [sentence])
    assert left is not None and left.text == "right biceps four"


def test_words_of_which_nobody_knows_who_said_them_are_asked_about(timed) -> None:  # type: ignore[no-untyped-def]
    """The examiner dictates over the whole question."""
    sentence = SpokenSentence(("biceps", "reflexes", "right", "left", "or", "both"), 0, 2.0, 2.0)
    utterance = timed("right deltoid strength four right biceps")
    left = without_own_voice(utterance, [sentence])
    assert left is not None
    session = Session()
    session.hear(left)
    doubted = any(w.confidence is not None and w.confidence <= DOUBTED for w in left.words)
    assert not doubted or not session.record().findings


def test_two_stretches_beside_the_tools_words_are_never_one_statement(timed) -> None:  # type: ignore[no-untyped-def]
    """ "Right deltoid", the question, "four": nobody said "right deltoid four"."""
    utterance = timed("right deltoid biceps reflexes right left or both four")
    start = utterance.words[2].start_s
    end = utterance.words[7].end_s
    sentence = SpokenSentence(
        ("biceps", "reflexes", "right", "left", "or", "both"), start, end, end - start
    )
    left = without_own_voice(utterance, [sentence])
    assert left is not None and left.text == "right deltoid. four"
    session = Session()
    session.hear(left)
    assert session.record().findings == ()


def test_a_statement_right_after_an_interruption_is_asked_about(timed) -> None:  # type: ignore[no-untyped-def]
    """The tool was stopped at "right": whose "right" was heard?"""
    sentence = SpokenSentence(("biceps", "reflexes", "right", "left", "or", "both"), 0, 1.3, 2.0)
    assert sentence.broken_off
    utterance = timed("biceps reflexes right biceps reflex two plus")
    left = without_own_voice(utterance, [sentence])
    assert left is not None
    session = Session()
    session.hear(left)
    assert session.record().findings == ()
    assert session.record().questions


def test_only_words_that_began_count_of_a_broken_sentence() -> None:
    sentence = SpokenSentence(("one", "two", "six"), 0.0, 1.0, 3.0)
    assert len(sentence.times()) == 1


ASKED = SpokenSentence(("left", "or", "right"), 0.0, 1.2, 1.2)


def with_disputes(text: str, *stretches: tuple[str, str]) -> Utterance:
    """The tool's question and more; disputed: the words, and what another listener heard."""
    words, position = [], 0
    for i, word in enumerate(text.split()):
        bare = word.rstrip(",")
        at = (0.0, 0.35, 0.55)[i] if i < 3 else 1.2 + 0.4 * i
        words.append(Word(bare, position, position + len(bare), at, at + 0.2, 1.0, True))
        position += len(word) + 1
    disputed = []
    for said, instead in stretches:
        start = text.rindex(said) if said else len(text)
        disputed.append(Disputed(start, start + len(said), instead, "open"))
    return Utterance(
        "u1", text, 0.0, words[-1].end_s, tuple(words),
        hearings=(Hearing("taught", text), Hearing("open", text)), disputed=tuple(disputed),
    )  # fmt: skip


@pytest.mark.parametrize(
    ("stretches", "left"),
    [
        ((("deltoid", "dull toy"),), [("deltoid", "dull toy")]),
        ((("five", ""),), [("five", "")]),
        ((("", "plus"),), [("", "plus")]),
        ((("left or", "love her"),), []),
        ((("right left deltoid", "wry tell"),), [("left deltoid", "wry tell")]),
        ((("or", "ah"), ("five", "fine")), [("five", "fine")]),
    ],
)
def test_what_is_disputed_moves_with_the_words_that_are_left(
    stretches: tuple[tuple[str, str], ...], left: list[tuple[str, str]]
) -> None:
    """Also for a preview, and where the disputed words are the last ones."""
    whole = with_disputes("left or right left deltoid, five", *stretches)
    rest = without_own_voice(whole, [ASKED])
    assert rest is not None and rest.text == "left deltoid, five"
    assert [(rest.text[d.start : d.end], d.instead) for d in rest.disputed] == left
    assert all(d.end == len(rest.text) for d in rest.disputed if d.instead == "plus")
    session = Session()
    shown, taken = session.preview(rest), session.hear(rest)
    assert shown.added == taken.added and len(taken.asked) == len(shown.asked) == bool(left)


def test_a_dispute_beyond_the_text_ends_with_it() -> None:
    """A stretch that a listener marks after the last word is read as one at the end."""
    for start, end in [(12, 12), (14, 20), (40, 44)]:
        text = "left deltoid five"
        words = with_disputes(text).words
        disputed = (Disputed(start, end, "plus", "open"),)
        heard = Utterance(
            "u1", text, 0.0, 3.0, words, disputed=disputed,
            hearings=(Hearing("taught", text), Hearing("open", text)),
        )  # fmt: skip
        assert Session().preview(heard).asked
