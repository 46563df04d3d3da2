"""The hearing of a dictation, with all that may fail in it: the sound is kept whatever happens."""

from __future__ import annotations

from collections.abc import Callable

from dictate.audio.source import AudioChunk, clock
from dictate.errors import ModelError
from dictate.faults import note_fault
from dictate.listen.hearing import Hearing, Outcome
from dictate.listen.telling import Telling


class Ears:
    """Gives sound to a hearing; what fails there is told, and the dictation goes on.

    Attributes:
        deaf: The engine has failed for good; nothing more is heard.
    """

    def __init__(self, hearing: Hearing, telling: Telling) -> None:
        """Have heard nothing.

        Args:
            hearing: What turns sound into utterances.
            telling: Who is told of trouble.
        """
        self._hearing, self._telling = hearing, telling
        self._noticed = 0
        self._now_s = 0.0
        self.deaf = False

    @property
    def speaking(self) -> bool:
        """Whether somebody is speaking now, or has only just stopped."""
        return self._hearing.speaking

    @property
    def silent_s(self) -> float:
        """How long nobody has spoken, in seconds."""
        return self._hearing.silent_s

    @property
    def notices(self) -> list[str]:
        """What the reader of the record must know of how it was heard."""
        return self._hearing.notices

    def take(self, chunk: AudioChunk, wanted: bool) -> Outcome:
        """Take the next chunk; nothing is heard in one that is not wanted."""
        self._now_s = chunk.end_s
        if wanted and not self.deaf:
            return self._try(lambda: self._hearing.take(chunk))
        self._hearing.pass_by(chunk)
        return Outcome()

    def end(self) -> Outcome:
        """There is no more sound: what is left of it."""
        return self._try(self._hearing.end)

    def lost(self, where: str, at_s: float | None = None) -> None:
        """What was being said can be heard in the sound alone; the reader of the record is told.

        Args:
            where: The line of the program that failed.
            at_s: When it was said; None for just now.
        """
        about = clock(self._now_s if at_s is None else at_s)
        self._telling.notice(
            f"What was said about {about} could not be read: a fault in the program ({where}). "
            "Listen to the sound there."
        )

    def tell_notices(self) -> None:
        """Record and say at once what is new of how it is heard ("a listener failed")."""
        for sentence in self.notices[self._noticed :]:
            self._noticed += 1
            self._telling.notice(sentence)

    def _try(self, hear: Callable[[], Outcome]) -> Outcome:
        try:
            return hear()
        except ModelError as fault:
            self.deaf = True
            self._telling.trouble(
                f"{fault} The sound is still kept; 'dictate resume' will read it when that is "
                "mended."
            )
        except Exception as fault:  # a fault in what lays the words out: others follow
            self.lost(note_fault(fault))
        return Outcome()
