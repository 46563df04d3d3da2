"""A dictation says that it hears when it does: not before the first sound, nor without any."""

from __future__ import annotations

import pytest

from dictate.audio.source import AudioChunk
from dictate.errors import UsageError
from dictate.grammar import load_grammar
from dictate.listen.asking import Asker
from dictate.listen.dictation import Dictation
from dictate.listen.events import State
from dictate.listen.plain_lines import PlainLines
from dictate.listen.view import Viewer
from dictate.session import Session

GRAMMAR = load_grammar()


class Deaf:
    """A recogniser that hears nothing."""

    notices: list[str] = []  # noqa: RUF012

    def start(self):
        return self

    start_preview = start

    def feed(self, chunk):
        return []

    end_now = finish = lambda self: []

    def so_far(self):
        return None


class Source:
    """A microphone that gives so many blocks, or cannot be opened."""

    notices: list[str] = []  # noqa: RUF012
    duration_s = None

    def __init__(self, blocks):
        self._blocks = blocks

    def stop(self):
        self._blocks = 0

    def chunks(self):
        if self._blocks is None:
            raise UsageError("There is no microphone.")
        for number in range(self._blocks):
            yield AudioChunk(bytes(1600), number / 20)


@pytest.fixture
def dictate(tmp_path):
    def run(blocks):
        session, said, states = Session(GRAMMAR), [], []
        dictation = Dictation(tmp_path / "in" / "exam", session, Deaf())
        asker = Asker(None, None, session, "screen")
        lines = PlainLines(Viewer(session), session, said.append)

        class Watch:
            def take(self, event, session):
                states.extend([event] if isinstance(event, State) else [])

        dictation.begin()
        assert not any("HEARING YOU" in line for line in said)
        dictation.listen(Source(blocks), asker, (lines, Watch()), waits=False)
        return dictation, said, states

    return run


def test_it_hears_with_the_first_sound(dictate):
    _, said, states = dictate(3)
    assert len(states) == 1 and states[0].listening
    assert [line for line in said if "HEARING YOU" in line] == said[:1]


def test_without_a_microphone_it_never_says_so(dictate, tmp_path):
    """And nothing of the dictation that never was is left in the way of the next one."""
    with pytest.raises(UsageError):
        dictate(None)
    assert not (tmp_path / "in" / "exam").exists()


def test_the_screen_says_that_it_waits():
    from dictate.listen.state_words import status_words

    state, hint = status_words(Viewer(Session(GRAMMAR)).view, GRAMMAR)
    assert state == "NOT HEARING YET" and "first sound" in hint


def test_stopped_before_any_sound_it_still_ends_well(dictate):
    dictation, said, states = dictate(0)
    assert dictation.finish() and not states
    assert not any("HEARING YOU" in line for line in said)


def test_what_it_listens_to_is_known_without_any_sound(tmp_path):
    """Taken up again it listens as it was to, though no state was ever told."""
    from dictate.journal.reading import read_journal
    from dictate.listen.past import replay

    session = Session(GRAMMAR)
    dictation = Dictation(tmp_path / "exam", session, Deaf(), "key")
    dictation.begin()
    dictation.listen(Source(0), Asker(None, None, session, "screen"), (), waits=False)
    past = replay(read_journal(tmp_path / "exam" / "journal.jsonl"), Session(GRAMMAR))
    assert past.mode == "key" and past.beginning.listening is False
