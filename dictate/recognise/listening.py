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

    def feed(self, chunk: AudioChunk) -> list[Utterance]:
        """Take the next chunk; hand out the utterances that are complete now.

        Args:
            chunk: Sound; a hole between it and the chunk before ends an utterance.

        Raises:
            ModelError: The engine fails.
        """
        ...

    def so_far(self) -> Utterance | None:
        """What has been heard of the utterance that is not complete yet, with its coming id.

        Its words may still change. None where nothing is heard.
        """
        ...

    def end_now(self) -> list[Utterance]:
        """The speaker has paused: bring ``so_far`` up to the last word that was fed.

        Returns:
            Utterances that are complete by it: those before the one that is spoken now.
        """
        ...

    def finish(self) -> list[Utterance]:
        """The sound has ended, or a pause was long enough: hand out what is left.

        More may be fed afterwards; that is another utterance.
        """
        ...


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
