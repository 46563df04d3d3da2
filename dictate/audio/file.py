"""Sound from a file: any usual kind, rate and number of channels.

What is damaged is said in ``notices``, never left out in silence; a missing stretch becomes
silence of its length, so that times stay true to the recording.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from dictate.audio import decoder
from dictate.audio.completeness import judge_completeness
from dictate.audio.content import is_text, read_start
from dictate.audio.mixdown import Mixdown
from dictate.audio.resample import Sound
from dictate.audio.source import CHUNK_S, RATE_HZ, SAMPLE_BYTES, AudioChunk, clock
from dictate.errors import InputError

_CHUNK_BYTES = int(CHUNK_S * RATE_HZ) * SAMPLE_BYTES
#: Containers whose stated duration is a guess from the bit rate, so that it proves nothing.
_GUESSED_DURATION = ("aac", "mp3", "amr", "ac3", "eac3", "mpeg", "mpegts")
#: Sound shorter than stated by less than this is no cut (seconds): padding of the encoder.
_SHORT_BY_S = 0.5
#: Damaged places nearer than this are told as one (seconds).
_SAME_PLACE_S = 1.0
#: Damaged places told one by one; the rest are counted.
_TOLD = 20


class FileSource:
    """The sound of one file.

    Attributes:
        duration_s: Length in seconds as the file states it, None where it does not.
        notices: What is damaged, in sentences with times; complete once ``chunks`` has ended.
    """

    def __init__(self, path: Path) -> None:
        """Open the file and decode its first sound.

        Args:
            path: A recording, in any usual format; its name does not matter.

        Raises:
            InputError: There is no sound in it that can be decoded.
        """
        self.path = path
        start = read_start(path)
        if is_text(start):
            raise InputError(f"{path} is text, not sound. Name a recording, or read it as text.")
        self._header = self._read_header()
        self.duration_s = self._header.duration_s
        self.notices: list[str] = []
        self._check_first_sound()

    def chunks(self) -> Iterator[AudioChunk]:
        """Decode the file from its start.

        Yields:
            Chunks of 0.25 s; the last one may be shorter.

        Raises:
            InputError: The file has gone since it was opened.
        """
        self.notices.clear()
        damage = _Damage()
        waiting = bytearray()
        done = clipped = 0
        for samples, peaks in self._mono(damage):
            waiting += samples
            clipped += peaks
            while len(waiting) >= _CHUNK_BYTES:
                yield _chunk(bytes(waiting[:_CHUNK_BYTES]), done, clipped)
                done += _CHUNK_BYTES
                clipped = 0
                del waiting[:_CHUNK_BYTES]
        if waiting:
            yield _chunk(bytes(waiting), done, clipped)
        end_s = (done + len(waiting)) / (RATE_HZ * SAMPLE_BYTES)
        cut = self._tell_end(end_s)
        self.notices += damage.tell(end_s - _SAME_PLACE_S if cut else None) + cut

    def _read_header(self) -> decoder.Header:
        try:
            return decoder.read_header(self.path)
        except decoder.NoTrackError:
            raise InputError(
                f"{self.path} has no sound track. Name a file that was recorded with sound."
            ) from None
        except decoder.NotSoundError:
            if judge_completeness(self.path) == "cut_off":
                raise InputError(
                    f"{self.path} is cut off before any of its sound can be decoded. "
                    "Copy it again from where it was recorded."
                ) from None
            raise InputError(
                f"{self.path} is no sound that can be read, and no text in UTF-8. "
                "Name a recording (WAV, FLAC, OGG, MP3, M4A) or save the text as UTF-8."
            ) from None

    def _check_first_sound(self) -> None:
        damaged = False
        for piece in decoder.decode(self.path):
            if isinstance(piece, Sound) and piece.samples.size:
                return
            damaged = True
        if damaged or judge_completeness(self.path) == "cut_off":
            raise InputError(
                f"{self.path} is damaged: none of its sound can be decoded. "
                "Copy it again from where it was recorded."
            )
        raise InputError(f"{self.path} lasts 0 seconds: there is no sound in it. Record it again.")

    def _mono(self, damage: _Damage) -> Iterator[tuple[bytes, int]]:
        """Decode and mix; note the damage and put silence where sound is missing.

        Yields:
            Samples, and the number of clipped peaks in them.
        """
        mixdown = Mixdown()
        try:
            for piece in decoder.decode(self.path):
                if isinstance(piece, Sound):
                    mixed = mixdown.mix(piece.samples) if piece.samples.size else piece.samples
                    yield mixed.astype("<i2").tobytes(), piece.clipped
                elif isinstance(piece, decoder.Fault):
                    damage.add(piece.at_s, piece.at_s)
                else:
                    damage.add(piece.start_s, piece.start_s + piece.length_s)
                    yield from _silence(piece.length_s)
        except (decoder.NotSoundError, OSError):
            raise InputError(
                f"{self.path} can no longer be read. Check that it is still there."
            ) from None

    def _tell_end(self, end_s: float) -> list[str]:
        """Say in one sentence, if so, that the end of the recording is missing."""
        completeness = judge_completeness(self.path)
        stated = self.duration_s or 0.0
        guessed = self._header.container in _GUESSED_DURATION and not self._counts_frames()
        if not guessed and end_s < stated - _SHORT_BY_S:
            return [f"the recording is cut off at {clock(end_s)}; it should last {clock(stated)}"]
        if completeness == "cut_off":
            return [f"the recording is cut off at {clock(end_s)}; what came after is missing"]
        if completeness == "not_closed":
            told = f"the recorder did not close the recording, which ends at {clock(end_s)}; "
            return [told + "something may be missing after that"]
        return []

    def _counts_frames(self) -> bool:
        """Tell whether an MP3 file counts its frames (the usual header in its first frame)."""
        start = read_start(self.path)
        if start[:3] == b"ID3":  # skip the tags: four times seven bits (ID3v2.4, section 3.1)
            length = 0
            for byte in start[6:10]:
                length = length << 7 | byte & 0x7F
            start = start[10 + length :]
        return any(mark in start[:4096] for mark in (b"Xing", b"Info", b"VBRI"))


class _Damage:
    """The damaged stretches of a recording, joined where they are near each other."""

    def __init__(self) -> None:
        self._stretches: list[tuple[float, float]] = []
        self._without_time = False

    def add(self, start_s: float | None, end_s: float | None) -> None:
        """Note one stretch, in seconds; None where the file does not tell the time."""
        if start_s is None or end_s is None:
            self._without_time = True
            return
        if self._stretches and start_s - self._stretches[-1][1] < _SAME_PLACE_S:
            first, last = self._stretches.pop()
            start_s, end_s = min(first, start_s), max(last, end_s)
        self._stretches.append((start_s, end_s))

    def tell(self, before_s: float | None) -> list[str]:
        """Say where the damage is; what starts after ``before_s`` is told as the cut-off end."""
        stretches = [s for s in self._stretches if before_s is None or s[0] < before_s]
        told = [
            f"the recording is damaged from {clock(start)} to {clock(end + 1)}: "
            "what was said there is lost or broken"
            for start, end in stretches[:_TOLD]
        ]
        if len(stretches) > _TOLD:
            told.append(f"the recording is damaged in {len(stretches) - _TOLD} more places")
        if self._without_time:
            told.append("the recording is damaged at a place that its file does not tell")
        return told


def _chunk(samples: bytes, done: int, clipped: int) -> AudioChunk:
    return AudioChunk(samples, done / (RATE_HZ * SAMPLE_BYTES), clipped)


def _silence(length_s: float) -> Iterator[tuple[bytes, int]]:
    """Yield silence of that many seconds, in pieces of at most one second."""
    left = round(length_s * RATE_HZ)
    while left > 0:
        piece = min(left, RATE_HZ)
        yield bytes(piece * SAMPLE_BYTES), 0
        left -= piece
