"""A narration from a file or standard input through a session: typed text or a recording.

The command line calls this and adds nothing of its own.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Protocol

from dictate.errors import InputError
from dictate.grammar.load import Grammar
from dictate.model import Utterance

#: Called with how much is done, how much there is (None where that is not known) and of what.
Progress = Callable[[float, float | None, str], None]
#: Typed statements between two reports of progress.
REPORT_EVERY = 200


class Hears(Protocol):
    """What a narration is read into: a session, or an examination in its folder."""

    @property
    def grammar(self) -> Grammar: ...
    def take(self, utterance: Utterance) -> object: ...
    def notice(self, sentence: str) -> None: ...


def narrate(
    session: Hears, path: Path | None, progress: Progress | None = None, third: bool = False
) -> None:
    """Read a whole narration into a session.

    Args:
        session: What hears it.
        path: A text or sound file; None for typed text on standard input.
        progress: Told how far a recording is read, in seconds.
        third: Let a third listener hear a recording too.

    Raises:
        InputError: The file cannot be read as text or sound, or says nothing.
        ModelError: It is sound, and the speech model is not there.
    """
    notices: list[str] = []
    heard = 0
    for utterance in _utterances(session, path, notices, progress, third):
        session.take(utterance)
        heard += 1
        if progress is not None and utterance.end is None and heard % REPORT_EVERY == 0:
            progress(heard, None, "statements")
    for sentence in notices:
        session.notice(sentence)
    if not heard:
        name = path.name if path else "The text"
        if notices:
            raise InputError(f"{name} says nothing; {'; '.join(notices)}.")
        raise InputError(
            f"{name} says nothing. Give a narration, one statement a line, or a recording."
        )


def _utterances(
    session: Hears,
    path: Path | None,
    notices: list[str],
    progress: Progress | None,
    third: bool,
) -> Iterator[Utterance]:
    from dictate.audio.content import is_sound_file
    from dictate.recognise.typed import read_typed, typed_utterances

    if path is None or not is_sound_file(path):
        yield from typed_utterances(read_typed(path))
        return
    from dictate.audio.file import FileSource
    from dictate.audio.levels import LevelMeter
    from dictate.recognise.ear import find_listeners

    source = LevelMeter(FileSource(path))

    def tell(done_s: float, whole_s: float | None) -> None:
        if progress is not None:
            progress(done_s, whole_s, "s")

    recogniser = find_listeners(session.grammar, third, tell)
    yield from recogniser.utterances(source)
    notices.extend(source.notices)
    notices.extend(recogniser.notices)
