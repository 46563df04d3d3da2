"""Speech by a small neural voice that lies in its own package: the one place that imports hibari.

The voice's file is named by its path. By its name alone another voice would be fetched from the
network; so nothing here ever names one.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from dictate.audio.resample import resampled
from dictate.audio.source import RATE_HZ
from dictate.audio.speaker import Sound

#: Loudest sample of a sentence, as a share of full scale.
PEAK = 0.6
#: The noise in a voiced sound comes from a fixed seed: the same sentence is the same sound.
_SEED = 1
#: Samples below this share of full scale before and after the sentence are silence: the engine
#: puts 0.3 s before it and 0.5 s after it, which would only make the question late.
_SILENCE = 0.01
#: So much of that silence is left, so that no sound begins with a click (seconds).
_EDGE_S = 0.03


class NeuralVoice:
    """English speech, about 30 ms of one core for a sentence of 3 seconds."""

    name = "hibari"

    def __init__(self) -> None:
        """Load the voice and speak once, so that no first sentence is late.

        Raises:
            OSError: The package is damaged.
        """
        import hibari

        model = Path(hibari.__file__).parent / "assets" / "hibari.onnx"
        if not model.is_file():
            raise FileNotFoundError(model)
        self._rate_hz = int(hibari.SAMPLE_RATE)
        self._engine = hibari.Hibari(model=str(model), threads=1)
        self.say("ready")

    def say(self, sentence: str) -> Sound:
        """Speak a sentence."""
        spoken = np.asarray(self._engine(sentence, seed=_SEED), dtype=np.float32)
        samples = resampled(spoken, self._rate_hz, RATE_HZ)
        loudest = float(np.max(np.abs(samples), initial=0.0))
        if loudest > 0:
            samples = _trimmed(samples * (PEAK / loudest))
        return Sound((samples * 32767).astype("<i2").tobytes())


def _trimmed(samples: NDArray[np.float32]) -> NDArray[np.float32]:
    loud = np.nonzero(np.abs(samples) > _SILENCE)[0]
    edge = int(_EDGE_S * RATE_HZ)
    return samples[max(0, loud[0] - edge) : loud[-1] + edge]
