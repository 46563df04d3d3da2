"""A loudspeaker that can be let go and taken again, since PortAudio lists devices only then."""

from __future__ import annotations

import threading

from dictate.audio.microphone import list_anew
from dictate.audio.speaker import Sound, Speaker
from dictate.errors import UsageError


class Loudspeaker:
    """The loudspeaker of this machine (a ``Player``), while the microphone is looked for, too."""

    def __init__(self) -> None:
        """Open it.

        Raises:
            UsageError: There is none.
        """
        self._lock = threading.Lock()
        self._speaker: Speaker | None = Speaker()

    @property
    def latency_s(self) -> float:
        """How long a sound takes from ``play`` to the air, in seconds."""
        with self._lock:
            return self._speaker.latency_s if self._speaker is not None else 0.0

    def play(self, sound: Sound) -> None:
        """Begin to play a sound; without a loudspeaker for the moment, it is left out."""
        with self._lock:
            if self._speaker is not None:
                self._speaker.play(sound)

    def stop(self) -> None:
        """Be silent at once."""
        with self._lock:
            if self._speaker is not None:
                self._speaker.stop()

    def sounding(self) -> bool:
        """Whether a sound is being played."""
        with self._lock:
            return self._speaker is not None and self._speaker.sounding()

    def list_anew(self) -> None:
        """Let PortAudio look which devices there are, and open the loudspeaker again."""
        with self._lock:
            if self._speaker is not None:
                self._speaker.close()
                self._speaker = None
            list_anew()
            try:
                self._speaker = Speaker()
            except UsageError:
                self._speaker = None  # gone with the microphone; tried again with it
