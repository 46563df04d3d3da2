"""Offline voices that speak the narrations: which there are, and sentences to sound.

All of them run without a network: flite and espeak-ng are programs of Debian, hibari-tts is a
package of the registry. A sentence that was spoken once is kept in a folder.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from dictate.audio.file import FileSource
from dictate.audio.source import RATE_HZ
from dictate.teach import speech
from dictate.teach.speech import NEURAL, TEST

Sound = NDArray[np.int16]

#: Two styles of a neural voice that only test (its folder is named by DICTATE_NEURAL_VOICE).
NEURAL_VOICES = tuple(voice for voice in TEST if ":" in voice)
#: The voices; those of HELD_BACK were never used to teach, or to choose a threshold or a rule.
VOICES = ("slt", "espeak", "kal16", "awb", "hibari", *NEURAL_VOICES)
HELD_BACK = ("kal16", *NEURAL_VOICES)
#: Times the voice's own pace.
SPEEDS = (0.85, 1.0, 1.2)
#: Words a minute of espeak-ng at its own pace, as its manual says.
_ESPEAK_WPM = 175
#: A voice that needs longer for one sentence hangs (seconds).
_PATIENCE_S = 60.0


def missing(voice: str) -> str:
    """Why a voice cannot be used here; empty where it can."""
    if voice in NEURAL_VOICES:
        here = (Path(os.environ.get(NEURAL, "")) / "voice.onnx").is_file()
        return "" if here else f"the folder of the neural voice is not named in {NEURAL}"
    if voice == "hibari":
        try:
            import hibari  # noqa: F401
        except ImportError:
            return "the package hibari-tts is not installed"
        return ""
    program = "espeak-ng" if voice == "espeak" else "flite"
    return "" if shutil.which(program) else f"the program {program} is not installed"


def speak(voice: str, speed: float, sentence: str, kept: Path) -> Sound:
    """Speak one sentence.

    Args:
        voice: One of VOICES.
        speed: Times the voice's own pace.
        sentence: What is said.
        kept: The folder of sentences spoken before.

    Returns:
        16 kHz mono samples at the voice's own level.
    """
    name = hashlib.sha256(f"{voice} {speed} {sentence}".encode()).hexdigest()[:24]
    path = kept / voice / f"{name}.npy"
    if path.exists():
        return np.load(path)
    path.parent.mkdir(parents=True, exist_ok=True)
    sound = _SPEAKERS[voice](sentence, speed)
    begun = path.with_name(f"{name}.{os.getpid()}.npy")  # another process may speak it as well
    np.save(begun, sound)
    begun.replace(path)
    return sound


def _flite(voice: str) -> Callable[[str, float], Sound]:
    def spoken(sentence: str, speed: float) -> Sound:
        stretch = f"duration_stretch={1 / speed:.3f}"
        with tempfile.TemporaryDirectory() as folder:
            out = Path(folder) / "said.wav"
            _run(["flite", "-voice", voice, "--setf", stretch, "-t", sentence, "-o", str(out)])
            return _read(out)

    return spoken


def _espeak(sentence: str, speed: float) -> Sound:
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "said.wav"
        pace = str(round(_ESPEAK_WPM * speed))
        _run(["espeak-ng", "-v", "en-us", "-s", pace, "-w", str(out), "--", sentence])
        return _read(out)


def _hibari(sentence: str, speed: float) -> Sound:
    samples = _hibari_voice()(sentence, speed=speed, seed=1)
    with tempfile.TemporaryDirectory() as folder:
        import hibari

        out = Path(folder) / "said.wav"
        hibari.write_wav(str(out), samples)
        return _read(out)


def _neural(voice: str) -> Callable[[str, float], Sound]:
    def spoken(sentence: str, speed: float) -> Sound:
        return speech.speak(speech.Clip(sentence, voice, speed, 1))

    return spoken


@lru_cache(maxsize=1)
def _hibari_voice() -> Any:
    import hibari

    return hibari.Hibari()


_SPEAKERS: dict[str, Callable[[str, float], Sound]] = {
    "slt": _flite("slt"),
    "kal16": _flite("kal16"),
    "awb": _flite("awb"),
    "espeak": _espeak,
    "hibari": _hibari,
    **{voice: _neural(voice) for voice in NEURAL_VOICES},
}


def _run(command: list[str]) -> None:
    subprocess.run(command, check=True, capture_output=True, timeout=_PATIENCE_S)


def _read(path: Path) -> Sound:
    """Any rate to 16 kHz, by the program's own way of reading sound files."""
    data = b"".join(chunk.samples for chunk in FileSource(path).chunks())
    return np.frombuffer(data, dtype="<i2").astype(np.int16)


def seconds(sound: Sound) -> float:
    """Length of a sound in seconds."""
    return len(sound) / RATE_HZ
