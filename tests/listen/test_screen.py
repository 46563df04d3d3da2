"""What is on the terminal, at every size, with and without colour, and without a terminal."""

from __future__ import annotations

import io
import re
import time
from dataclasses import replace

import pytest
from rich.console import Console

from dictate.grammar import load_grammar
from dictate.listen.drawing import draw, fitted
from dictate.listen.events import (
    Answered,
    Finished,
    HeardUtterance,
    Level,
    Partial,
    Preview,
    Request,
    State,
    Trouble,
)
from dictate.listen.plain_lines import PlainLines
from dictate.listen.screen import Screen, open_screen
from dictate.listen.view import TROUBLE_S, View, Viewer
from dictate.model import Hearing, Question, Utterance, Word
from dictate.session import Session

GRAMMAR = load_grammar()
SIZES = [(40, 12), (40, 24), (80, 24), (160, 45), (20, 5), (1, 1)]


class Bed:
    """A session with a viewer and a clock that the test sets."""

    def __init__(self) -> None:
        self.session = Session(GRAMMAR)
        self.now_s = 0.0
        self.put: Question | None = None
        self.viewer = Viewer(self.session, lambda: self.put, lambda: self.now_s)
        self.take(State("always", True, "start"))

    def take(self, event) -> None:  # type: ignore[no-untyped-def]
        self.viewer.take(event, self.session)

    def say(self, text: str) -> None:
        utterance = Utterance(f"u{self.now_s}", text)
        self.take(HeardUtterance(utterance, self.session.hear(utterance)))

    @property
    def view(self) -> View:
        return self.viewer.view

    def lines(self, width: int = 80, height: int = 24, encoding: str = "utf-8") -> list[str]:
        console = Console(file=_Stream(encoding), width=width, height=height)
        return [line.plain for line in draw(self.view, GRAMMAR, console, width, height)]

    def text(self, width: int = 80, height: int = 24) -> str:
        return "\n".join(self.lines(width, height))


class _Stream(io.StringIO):
    """A stream with an encoding, as a terminal has one."""

    def __init__(self, encoding: str) -> None:
        super().__init__()
        self._encoding = encoding

    @property
    def encoding(self) -> str:  # type: ignore[override]
        return self._encoding


@pytest.fixture
def bed() -> Bed:
    return Bed()


@pytest.fixture
def busy(bed: Bed) -> Bed:
    """Everything at once: findings, a question that is put, a trouble, sound, time."""
    bed.say("strength five out of five throughout except left hip flexion four plus")
    bed.say("reflexes: right biceps two plus, triceps two plus, knee three plus")
    bed.say("ankle jerk two plus")
    bed.put = bed.session.record().questions[0]
    bed.now_s = 252
    bed.take(Trouble("The microphone is gone. Plug it in again."))
    bed.take(Level(-20.0))
    return bed


@pytest.mark.parametrize(("width", "height"), SIZES)
@pytest.mark.parametrize("encoding", ["utf-8", "ascii"])
def test_no_line_is_too_long_and_none_too_many(
    busy: Bed, width: int, height: int, encoding: str
) -> None:
    lines = busy.lines(width, height, encoding)
    assert len(lines) <= height
    assert max(map(len, lines)) <= max(width, 1)


@pytest.mark.parametrize(("width", "height"), [(40, 24), (80, 24), (160, 45)])
def test_what_matters_is_there_at_every_size(busy: Bed, width: int, height: int) -> None:
    text = busy.text(width, height)
    for wanted in (
        "HEARING YOU", "04:12", "QUESTION", "Say: right, left, both, none of these",
        "The microphone is gone", "HEARD", "REFLEXES", "NOT MENTIONED YET", "sound",
    ):  # fmt: skip
        assert wanted in text, wanted


def test_in_a_tiny_window_state_and_question_come_first(busy: Bed) -> None:
    text = busy.text(40, 9)
    assert "HEARING YOU" in text and "right, left or both?" in text.replace("\n", " ")


def test_the_question_is_in_big_letters_where_there_is_room(busy: Bed) -> None:
    prompt = busy.view.question.prompt  # type: ignore[union-attr]
    assert prompt not in busy.text(160, 45)
    assert sum("▌" in line for line in busy.lines(160, 45)) >= 4
    assert prompt in busy.text(40, 24).replace("\n", " ")
    assert prompt in "\n".join(busy.lines(160, 45, "ascii"))


def test_words_that_may_change_are_in_brackets(bed: Bed) -> None:
    bed.take(Partial("right deltoid"))
    assert "[ right deltoid ... ]" in bed.text()
    bed.say("right deltoid four")
    assert "[" not in bed.text() and "HEARD" in bed.text()


def test_a_preview_is_marked_as_not_sure_and_no_finding_of_the_section(bed: Bed) -> None:
    utterance = Utterance("u1", "right deltoid four")
    other = Session(GRAMMAR)
    bed.take(Preview(utterance, other.hear(utterance)))
    text = bed.text()
    assert "? Strength 4/5 in the right deltoid." in text
    assert "MOTOR" not in text and "+ Strength" not in text


def test_a_finding_appears_with_its_section(bed: Bed) -> None:
    bed.say("right deltoid four")
    text = bed.text()
    assert "+ Strength 4/5 in the right deltoid." in text
    assert "── MOTOR" in text


def _by_one(text: str) -> Utterance:
    """As a recogniser makes it that heard alone."""
    words = tuple(
        Word(m.group(), m.start(), m.end(), float(n), n + 0.5, 1.0)
        for n, m in enumerate(re.finditer(r"\S+", text))
    )
    return Utterance("u1", text, 0.0, float(len(words)), words)


def _by_two(text: str) -> Utterance:
    return replace(_by_one(text), hearings=(Hearing("taught", text), Hearing("open", text)))


def _hear(bed: Bed, number: int, utterance: Utterance) -> None:
    utterance = replace(utterance, id=f"u{number}")
    bed.take(HeardUtterance(utterance, bed.session.hear(utterance)))


MARKED = "(heard by one listener only)"


@pytest.mark.parametrize("width", [40, 80, 160])
def test_what_one_listener_heard_is_marked_where_it_appears(bed: Bed, width: int) -> None:
    _hear(bed, 1, _by_two("left deltoid five"))
    assert MARKED not in bed.text(width)
    _hear(bed, 2, _by_one("right deltoid four"))
    text = " ".join(bed.text(width).split())
    assert f"+ Strength 4/5 in the right deltoid {MARKED}." in text
    assert "MOTOR Strength 5/5 in the left deltoid." in text.replace("─", "").replace("  ", " ")
    assert text.count(MARKED) == 2  # with the words, and in its section


def test_a_section_that_one_listener_heard_is_marked_once(bed: Bed) -> None:
    _hear(bed, 1, _by_one("right deltoid four"))
    _hear(bed, 2, _by_one("left deltoid five"))
    text = bed.text(120)
    assert f"MOTOR {MARKED.upper()}" in text
    assert text.count(MARKED) == 1  # with the words


def test_a_preview_that_one_listener_heard_is_marked(bed: Bed) -> None:
    utterance = _by_one("right deltoid four")
    bed.take(Preview(utterance, Session(GRAMMAR).hear(utterance)))
    assert f"? Strength 4/5 in the right deltoid {MARKED}." in bed.text()


def test_what_was_typed_has_no_mark(bed: Bed) -> None:
    bed.say("right deltoid four")
    assert MARKED not in bed.text() and MARKED.upper() not in bed.text()


def test_a_correction_shows_what_is_no_more(bed: Bed) -> None:
    bed.say("right deltoid four")
    bed.say("correction, right deltoid four plus")
    text = bed.text()
    assert "+ Strength 4+/5 in the right deltoid." in text
    assert "- no more: Strength 4/5 in the right deltoid." in text


def test_talk_is_shown_as_not_noted(bed: Bed) -> None:
    bed.say("close your eyes for me")
    assert "not noted" in bed.text()
    bed.say("the weather is lovely outside these days")
    assert "kept word for word" in bed.text()


def test_what_is_missing_shrinks(bed: Bed) -> None:
    before = bed.view.missing
    assert "fundi" in before and "gait" in before
    bed.say("gait is normal")
    assert set(before) - set(bed.view.missing) == {"gait"}


def test_a_question_that_is_put_says_what_can_be_answered(bed: Bed) -> None:
    bed.say("deltoid four plus")
    assert "OPEN QUESTION" in bed.text() and "Say: right" not in bed.text()
    bed.put = bed.session.record().questions[0]
    bed.take(Level(-50.0))
    assert "Say: right, left, both, none of these, skip, later, repeat" in bed.text()
    bed.take(Answered("q1", "left", bed.session.answer("q1", "left")))
    bed.put = None
    bed.take(Level(-50.0))
    assert "QUESTION" not in bed.text()
    assert "+ Strength 4+/5 in the left deltoid." in bed.text()


def test_a_question_passed_over_is_shown_no_more(bed: Bed) -> None:
    bed.say("deltoid four plus")
    bed.take(Answered("q1", "skip", bed.session.answer("q1", "skip")))
    assert "QUESTION" not in bed.text()


@pytest.mark.parametrize(
    ("state", "words"),
    [
        (State("always", True, "start"), "HEARING YOU"),
        (State("always", False, "pause"), "PAUSED"),
        (State("phrase", False, "phrase"), "NOT HEARING"),
        (State("phrase", True, "phrase"), "HEARING YOU"),
        (State("key", False, "key"), "NOT HEARING"),
        (State("key", True, "key"), "HEARING YOU"),
        (State("always", False, "microphone"), "NO MICROPHONE"),
        (State("phrase", False, "pause"), "PAUSED"),
    ],
)
def test_whether_it_listens_stands_in_words(bed: Bed, state: State, words: str) -> None:
    bed.take(state)
    for width, height in SIZES[:4]:
        assert bed.lines(width, height)[0].strip().startswith(words)


def test_that_nobody_is_heard_is_seen_from_afar(bed: Bed) -> None:
    listening = bed.lines(80, 24)
    bed.take(State("always", False, "pause"))
    paused = bed.lines(80, 24)
    assert sum("▌" in line for line in listening) == 0
    assert sum("▌" in line or "▙" in line for line in paused) >= 3


def test_the_tools_own_words_are_not_shown_as_heard() -> None:
    session = Session(GRAMMAR)
    viewer = Viewer(session, examiners=lambda text: text.removeprefix("right left or both").strip())
    viewer.take(Partial("right left or both"), session)
    assert viewer.view.words == ""
    viewer.take(Partial("right left or both left"), session)
    assert viewer.view.words == "left"


def test_what_was_asked_for_is_shown(bed: Bed) -> None:
    bed.say("right deltoid four")
    bed.take(Request("hear_last", Utterance("u2", "what was the last finding")))
    assert "Strength 4/5 in the right deltoid." in bed.view.said
    bed.take(Request("what_is_missing", Utterance("u3", "what is still missing")))
    assert bed.view.said.startswith("No finding recorded for: ")
    assert "YOU ASKED" in bed.text()
    bed.say("gait is normal")
    assert "YOU ASKED" not in bed.text()


def test_a_trouble_is_forgotten_after_a_while(bed: Bed) -> None:
    bed.take(Trouble("The disk is full."))
    assert "The disk is full." in bed.text()
    bed.now_s = TROUBLE_S + 1
    bed.take(Level(-50.0))
    assert "The disk is full." not in bed.text()


def test_more_than_the_usual_time_is_said(bed: Bed) -> None:
    bed.now_s = 16 * 60
    bed.viewer.look()
    assert "16:00, more than 15 min" in bed.lines()[0]


def test_the_meter_follows_the_level(bed: Bed) -> None:
    filled = []
    for dbfs in (-80.0, -60.0, -30.0, -10.0, 0.0, 3.0):
        bed.take(Level(dbfs))
        filled.append(bed.lines()[0].count("■"))
    assert filled == [0, 0, 6, 10, 12, 12]


def test_an_examination_that_goes_on_is_shown_at_once() -> None:
    session = Session(GRAMMAR)
    session.hear(Utterance("u1", "right deltoid four"))
    view = Viewer(session).view
    assert view.heading == "Motor" and view.noted == ("Strength 4/5 in the right deltoid.",)


def test_without_colour_nothing_is_lost(busy: Bed) -> None:
    texts = []
    for no_color in (False, True):
        stream = _Stream("utf-8")
        console = Console(
            file=stream, width=80, height=24, force_terminal=True, no_color=no_color,
            color_system="standard",
        )  # fmt: skip
        lines = draw(busy.view, GRAMMAR, console, 80, 24)
        console.print(fitted(lines, 24))
        texts.append(stream.getvalue())
    assert "\x1b[1;7;32m" in texts[0] or ";32m" in texts[0]
    assert ";32m" not in texts[1] and ";31m" not in texts[1]


# ---- the terminal itself


def terminal(width: int, height: int) -> tuple[Console, _Stream]:
    stream = _Stream("utf-8")
    return Console(file=stream, width=width, height=height, force_terminal=True), stream


def test_the_screen_is_drawn_and_given_back() -> None:
    session = Session(GRAMMAR)
    console, stream = terminal(80, 24)
    with open_screen(session, lambda: None, lambda: 0.0, console) as screen:
        assert isinstance(screen, Screen)
        screen.take(State("always", True, "start"), session)
        until = time.monotonic() + 5
        while "All the time" not in stream.getvalue() and time.monotonic() < until:
            time.sleep(0.02)
    written = stream.getvalue()
    assert "\x1b[?1049h" in written and "HEARING YOU" in written
    assert written.rstrip().endswith(("\x1b[?1049l", "\x1b[?25h"))


def test_a_window_that_becomes_smaller_is_drawn_at_its_new_size() -> None:
    session = Session(GRAMMAR)
    console, stream = terminal(160, 45)
    with open_screen(session, lambda: None, lambda: 0.0, console) as screen:
        screen.take(State("always", True, "start"), session)
        time.sleep(0.3)
        console.size = (40, 12)  # type: ignore[assignment]
        before = len(stream.getvalue())
        until = time.monotonic() + 5
        while len(stream.getvalue()) == before and time.monotonic() < until:
            time.sleep(0.02)
        time.sleep(0.1)
    last = stream.getvalue()[before:].split("\x1b[H")[1]
    rows = last.split("\n")
    assert len(rows) <= 13
    assert "04:12" not in last


def test_levels_alone_do_not_draw(monkeypatch: pytest.MonkeyPatch) -> None:
    session = Session(GRAMMAR)
    console, _ = terminal(80, 24)
    drawn = []
    with open_screen(session, lambda: None, lambda: 0.0, console) as screen:
        screen.take(Level(-55.0), session)
        time.sleep(0.3)
        monkeypatch.setattr(screen._live, "refresh", lambda: drawn.append(1))
        for _ in range(50):
            screen.take(Level(-55.2), session)
            time.sleep(0.005)
    assert len(drawn) <= 2


@pytest.mark.parametrize("kind", ["none", "dumb"])
def test_without_a_terminal_each_thing_is_a_line(
    kind: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    stream = _Stream("utf-8")
    if kind == "dumb":
        monkeypatch.setenv("TERM", "dumb")
    console = Console(file=stream, width=40, force_terminal=True if kind == "dumb" else None)
    session = Session(GRAMMAR)
    put: list[Question] = []
    with open_screen(session, lambda: put[0] if put else None, lambda: 0.0, console) as lines:
        assert isinstance(lines, PlainLines)
        lines.take(State("always", True, "start"), session)
        for text in ("right deltoid four", "deltoid five"):
            utterance = Utterance("u1", text)
            lines.take(Partial(text), session)
            lines.take(HeardUtterance(utterance, session.hear(utterance)), session)
        put += session.record().questions
        for _ in range(3):
            lines.take(Level(-50.0), session)
        lines.take(Trouble("The disk is full."), session)
        lines.take(Finished(None), session)
    written = stream.getvalue()
    assert "\x1b" not in written
    rows = written.splitlines()
    assert [r for r in rows if "deltoid" in r] == [
        "heard: right deltoid four",
        "  + Strength 4/5 in the right deltoid.",
        "heard: deltoid five",
    ]
    assert (
        written.count("Deltoid strength: right, left or both? (right, left, both, none of these)")
        == 1
    )
    assert "!! The disk is full." in rows
    assert rows[0].startswith("HEARING YOU")
