"""What listens to sound as it comes: fed chunk by chunk, it hands out utterances.

A recogniser makes one of these for each sound. A file feeds it as fast as it can; a microphone
feeds it as the sound is heard, and asks in between what it has heard so far.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Protocol

from dictate.audio.source import AudioChunk, AudioSource
from dictate.model import Utterance

#: Called after each chunk: seconds heard so far, and seconds in all or None.
Progress = Callable[[float, float | None], None]


class Listening(Protocol):
    """One pass over one sound."""

    @property
    def notices(self) -> list[str]:
        """What the reader of the record must know ("the second listener failed"); may grow."""
        ...

    def feed(self, chunk: AudioChunk) -> list[Utterance]:
        """Take the next chunk; hand out the utterances that are complete now.

        Args:
            chunk: Sound; a hole between it and the chunk before ends an utterance.

        Raises:
            ModelError: The engine fails.
        """
        ...

    def end_now(self) -> list[Utterance]:
        """A pause was heard: make the words so far final, so that ``so_far`` is up to date.

        The last words are held all the same, to be joined with what follows after a short pause;
        only an utterance before them is handed out.
        """
        ...

    def pause(self, so_far: Utterance) -> None:
        """The speaker has paused, perhaps at the end of an utterance.

        Args:
            so_far: What another pass over the same sound has heard of it.
        """
        ...

    def so_far(self) -> Utterance | None:
        """What has been heard of the utterance that is not complete yet, with its coming id.

        Its words may still change. None where nothing is heard.
        """
        ...

    def finish(self) -> list[Utterance]:
        """The sound has ended: hand out what is left."""
        ...


class LiveRecogniser(Protocol):
    """What can hear a sound while it is spoken."""

    def start(self) -> Listening:
        """Begin with a new sound."""
        ...

    def start_preview(self) -> Listening:
        """Begin with a new sound of which the words are only shown, and nothing is kept."""
        ...


class Listens:
    """A recogniser that hears a source by one pass over it; a class of its own says ``start``.

    Attributes:
        notices: What the reader of the record must know of the sources heard so far.
    """

    def __init__(self, progress: Progress | None = None) -> None:
        """Remember who is told.

        Args:
            progress: Called after each chunk with the seconds heard so far, and the seconds in
                all or None.
        """
        self.notices: list[str] = []
        self._progress = progress

    def start(self) -> Listening:
        """Begin with a new sound, fed chunk by chunk."""
        raise NotImplementedError

    def start_preview(self) -> Listening:
        """Begin with a new sound of which the words are only shown."""
        return self.start()

    def utterances(self, source: AudioSource) -> Iterator[Utterance]:
        """Listen to a source to its end.

        Args:
            source: Sound; a hole in it ends an utterance.

        Raises:
            InputError: The sound cannot be read.
            ModelError: The first engine fails. Where another does, a notice says so and the words
                count as unchecked.
        """
        listening = self.start()
        yield from listen(listening, source, self._progress)
        self.notices.extend(listening.notices)


def listen(
    listening: Listening, source: AudioSource, progress: Progress | None = None
) -> Iterator[Utterance]:
    """Feed a whole source.

    Args:
        listening: What hears.
        source: What is heard.
        progress: Told how far it is.

    Raises:
        InputError: The sound cannot be read.
        ModelError: The engine fails.
    """
    for chunk in source.chunks():
        yield from listening.feed(chunk)
        if progress is not None:
            progress(chunk.end_s, source.duration_s)
    yield from listening.finish()
