"""Whether the examiner speaks while the tool does.

Three signs, since the microphone may hear the tool loudly, faintly or (with headphones) not at
all: speech where the tool's own voice is known not to be heard; a level well above that of the
tool's own voice; words that are none of the tool's.
"""

from __future__ import annotations

from collections.abc import Sequence

from dictate.listen.alignment import align

#: So much louder than the tool's own voice is somebody else (decibels).
LOUDER_DB = 6.0
#: So much above the silence of the room is a voice that is heard (decibels).
HEARD_DB = 6.0
#: How many levels, or changes of the words, in a row must say so.
_TWICE = 2
#: How many words that are none of the tool's.
_WORDS = 2
#: Share of a new level in the running mean of the room's silence.
_SLOWLY = 0.2


class Interruption:
    """Learns how the room and the tool itself sound, and tells when somebody else speaks."""

    def __init__(self) -> None:
        """Know nothing of the room."""
        self._room_db: float | None = None
        self._own_db: float | None = None
        self._peak_db: float | None = None
        self._loud = 0
        self._strange = 0

    def room(self, dbfs: float) -> None:
        """Take the level of a moment in which nobody speaks, the tool neither."""
        known = self._room_db
        self._room_db = dbfs if known is None else known + _SLOWLY * (dbfs - known)

    def begin(self) -> None:
        """The tool begins to speak."""
        self._loud = self._strange = 0
        self._peak_db = None

    def level(self, dbfs: float) -> None:
        """Take the level of a moment in which the tool speaks."""
        self._peak_db = dbfs if self._peak_db is None else max(self._peak_db, dbfs)
        louder = self._own_db is not None and dbfs > self._own_db + LOUDER_DB
        self._loud = self._loud + 1 if louder else 0

    def words(self, heard: Sequence[str], spoken: Sequence[str]) -> None:
        """Take the words heard so far while the tool speaks."""
        matches = align(heard, spoken)
        rest = len(heard) - (matches[-1].heard[1] if matches else 0)
        self._strange = self._strange + 1 if rest >= _WORDS else 0

    def end(self) -> None:
        """The tool has said all of its sentence: what was heard meanwhile is its own voice."""
        if self._peak_db is not None:
            self._own_db = self._peak_db
        self._loud = self._strange = 0

    def tell(self, speech: bool) -> bool:
        """Whether somebody else is speaking.

        Args:
            speech: Somebody speaks, as far as the sound shows (it may be the tool).
        """
        unheard = (
            self._own_db is not None
            and self._room_db is not None
            and self._own_db < self._room_db + HEARD_DB
        )
        return (speech and unheard) or self._loud >= _TWICE or self._strange >= _TWICE
