from __future__ import annotations

import numpy as np
import pytest

from dictate.audio.source import RATE_HZ
from dictate.audio.speaker import Sound
from dictate.speak.tones import HIGH_HZ, LENGTH_S, LOW_HZ, tone


def samples(sound: Sound) -> np.ndarray:
    return np.frombuffer(sound.samples, "<i2").astype(float)


def pitch(part: np.ndarray) -> float:
    """The strongest frequency of a stretch, in hertz."""
    strength = np.abs(np.fft.rfft(part, 8 * len(part)))
    return float(np.argmax(strength) * RATE_HZ / (8 * len(part)))


@pytest.mark.parametrize(
    ("kind", "pitches"),
    [("asks", [LOW_HZ, HIGH_HZ]), ("trouble", [HIGH_HZ, LOW_HZ]), ("done", [HIGH_HZ])],
)
def test_the_order_of_the_pitches_tells_what_it_is(kind: str, pitches: list[float]) -> None:
    sound = samples(tone(kind))  # type: ignore[arg-type]
    length = int(LENGTH_S * RATE_HZ)
    heard = [pitch(sound[i : i + length]) for i in range(0, len(sound), length)]
    assert heard == pytest.approx(pitches, abs=5)


def test_a_tone_does_not_click() -> None:
    sound = samples(tone("asks"))
    assert abs(sound[0]) < 50 and abs(sound[-1]) < 50
    assert np.max(np.abs(np.diff(sound))) < 0.3 * 32767
