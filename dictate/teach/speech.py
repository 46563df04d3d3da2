"""Sentences to sound, spoken beforehand and kept in a folder outside the project.

Programs and packages that run offline speak them: flite and espeak-ng (programs of Debian), hibari
(a package), and, where the folder of its weights is named, mixes of a neural voice's styles. Some
voices only ever test: no sentence to teach or to tune with is spoken by them.
"""

from __future__ import annotations

import json
import os
import random
import subprocess
import wave
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass
from functools import lru_cache, partial
from io import BytesIO
from math import gcd
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from dictate.errors import ModelError

Sound = NDArray[np.int16]
RATE_HZ = 16_000
#: Names the folder that holds the neural voice: ``voice.onnx``, ``vocab.json``, ``styles.npz``.
NEURAL = "DICTATE_NEURAL_VOICE"
#: The styles of the neural voice whose mixes teach, and those that only test.
TEACH_STYLES = ("jf_alpha", "jf_nezumi", "jm_kumo")
TEST_STYLES = ("jf_gongitsune", "jf_tebukuro")
#: Voices that teach and tune, with the share of the sentences that each speaks.
TEACH = {"neural": 0.5, "espeak": 0.24, "slt": 0.1, "awb": 0.1, "hibari": 0.06}
#: Voices that only test: in no teaching and no tuning.
TEST = ("kal16", *(f"neural:{style}" for style in TEST_STYLES))
_NEURAL_HZ = 24_000
#: Accents of espeak-ng that are asked for; its variants are found where it is installed.
_ACCENTS = ("en-us", "en-us", "en-us", "en-gb", "en-gb-scotland", "en-gb-x-rp", "en-us-nyc")
_VARIANTS = Path("voices/!v")
_PATIENCE_S = 60.0
#: How espeak-ng writes sounds, and how the neural voice does; in this order.
_AS_NEURAL = (
    ("eɪ", "A"), ("aɪ", "I"), ("oʊ", "O"), ("əʊ", "Q"), ("aʊ", "W"), ("ɔɪ", "Y"), ("dʒ", "ʤ"),
    ("tʃ", "ʧ"), ("ɚ", "əɹ"), ("ɜː", "ɜɹ"), ("ɐ", "ə"), ("oː", "ɔ"), ("r", "ɹ"), ("e", "ɛ"),
    ("ː", ""), ("\u0303", ""), ("ɾ", "T"), ("x", "k"), ("ʔ", "t"),
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Clip:
    """One sentence that is to be spoken: text, voice, times the voice's own pace, and a seed."""

    text: str
    voice: str
    pace: float
    seed: int


def deal(texts: Sequence[str], seed: int, voices: Sequence[str] = ()) -> list[Clip]:
    """Give each sentence a voice that teaches, and a pace.

    Args:
        texts: What is to be said.
        seed: Fixes who says what.
        voices: Those of ``TEACH`` that are here; empty for all.
    """
    draw = random.Random(seed)
    shares = {voice: TEACH[voice] for voice in voices or TEACH}
    return [
        Clip(
            text,
            draw.choices(list(shares), list(shares.values()))[0],
            round(draw.choice((0.85, 0.95, 1.0, 1.1, 1.2, 1.3)), 2),
            draw.randrange(1 << 30),
        )
        for text in texts
    ]


def speak_all(clips: Sequence[Clip], folder: Path, processes: int, until_s: float = 0.0) -> int:
    """Speak clips into a folder, ``00000.npy`` and so on; those that are there are left.

    Args:
        clips: What is said by whom; their list is kept beside them (``clips.json``).
        folder: Where to; made if it is not there.
        processes: How many speak at once.
        until_s: Stop after so many seconds; 0 for never. What was not spoken is missing.

    Returns:
        How many clips are there now.
    """
    import time

    folder.mkdir(parents=True, exist_ok=True)
    (folder / "clips.json").write_text(json.dumps([asdict(clip) for clip in clips]))
    end = time.monotonic() + until_s if until_s else 0.0
    work = partial(_speak_into, folder, end)
    with ProcessPoolExecutor(processes) as pool:
        return sum(pool.map(work, range(len(clips)), clips, chunksize=8))


def spoken(folder: Path) -> list[tuple[str, Path]]:
    """What was spoken into a folder: text and file of each clip that is there."""
    clips = json.loads((folder / "clips.json").read_text())
    return [
        (clip["text"], path)
        for number, clip in enumerate(clips)
        if (path := folder / f"{number:05}.npy").exists()
    ]


def _speak_into(folder: Path, end: float, number: int, clip: Clip) -> bool:
    import time

    path = folder / f"{number:05}.npy"
    if path.exists():
        return True
    if end and time.monotonic() > end:
        return False
    try:
        sound = speak(clip)
    except (subprocess.SubprocessError, OSError, EOFError, wave.Error):
        return False
    if len(sound) < RATE_HZ // 10:
        return False
    begun = folder / f"{number:05}.{os.getpid()}.tmp"
    with begun.open("wb") as file:
        np.save(file, sound)
    begun.replace(path)
    return True


def speak(clip: Clip) -> Sound:
    """Speak one clip: 16 kHz mono samples, without long silence at its ends.

    Raises:
        ModelError: The voice is not here.
    """
    name, _, style = clip.voice.partition(":")
    if name == "neural":
        sound = _neural(clip, style)
    elif name == "espeak":
        sound = _espeak(clip)
    elif name == "hibari":
        samples = _hibari()(clip.text, speed=clip.pace, seed=clip.seed % 1000)
        sound = _resampled(np.asarray(samples, np.float32), _NEURAL_HZ)
    else:
        sound = _flite(clip)
    loud = np.flatnonzero(np.abs(sound.astype(np.int32)) > 300)
    if not len(loud):
        return sound[:0]
    edge = RATE_HZ // 30
    return sound[max(0, loud[0] - edge) : loud[-1] + edge]


def _flite(clip: Clip) -> Sound:
    command = ["flite", "-voice", clip.voice, "--setf", f"duration_stretch={1 / clip.pace:.3f}"]
    if clip.voice in TEACH:  # higher and lower than its own voice
        command += ["--setf", f"f0_shift={random.Random(clip.seed).uniform(0.8, 1.3):.2f}"]
    with _scratch() as out:
        _run([*command, "-t", clip.text, "-o", str(out)])
        return _read_wave(out.read_bytes())


def _espeak(clip: Clip) -> Sound:
    draw = random.Random(clip.seed)
    voice = draw.choice(_ACCENTS)
    variants = _espeak_variants()
    if variants and draw.random() < 0.85:
        voice += f"+{draw.choice(variants)}"
    command = ["espeak-ng", "-v", voice, "-s", str(round(165 * clip.pace))]
    command += ["-p", str(draw.randint(25, 75)), "--stdout", "--", clip.text]
    return _read_wave(_run(command))


@lru_cache(maxsize=1)
def _espeak_variants() -> tuple[str, ...]:
    data = os.environ.get("ESPEAK_DATA_PATH", "/usr/lib/x86_64-linux-gnu/espeak-ng-data")
    places = [Path(data) / _VARIANTS, Path(data) / "espeak-ng-data" / _VARIANTS]
    return tuple(sorted(p.name for place in places if place.is_dir() for p in place.iterdir()))


@lru_cache(maxsize=1)
def _hibari() -> Callable[..., Any]:
    import hibari

    voice: Callable[..., Any] = hibari.Hibari()
    return voice


def _neural(clip: Clip, style: str) -> Sound:
    """One style of the neural voice, or a mix of those that teach."""
    session, vocabulary, styles = _neural_voice()
    tokens = [vocabulary[sound] for sound in sounds_of(clip.text) if sound in vocabulary][:500]
    here = {name: vectors[min(len(tokens), len(vectors)) - 1] for name, vectors in styles.items()}
    given = {
        "tokens": np.array([[0, *tokens, 0]], np.int64),
        "style": (here[style] if style else mixed(here, clip.seed)).reshape(1, -1),
        "speed": np.array([clip.pace], np.float32),
    }
    return _resampled(np.asarray(session.run(None, given)[0], np.float32).ravel(), _NEURAL_HZ)


def mixed(styles: Mapping[str, NDArray[np.float32]], seed: int) -> NDArray[np.float32]:
    """A speaker of the neural voice: how it sounds and how it is spoken (the halves of a style's
    vector) are mixed apart of the styles that teach, and go up to a quarter beyond them.

    Args:
        styles: The vector of each style.
        seed: Fixes the mix.
    """
    draw = np.random.default_rng(seed)
    teach = np.stack([np.asarray(styles[name], np.float32).ravel() for name in TEACH_STYLES])
    middle = teach.mean(0)
    halves = []
    for part in np.split(np.arange(teach.shape[1]), 2):
        mix = draw.dirichlet([0.7] * len(teach)) @ teach[:, part]
        halves.append(middle[part] + draw.uniform(0.8, 1.25) * (mix - middle[part]))
    return np.asarray(np.concatenate(halves), np.float32)


def sounds_of(text: str) -> str:
    """How a text is pronounced, as the neural voice writes it (IPA, some sounds as one sign)."""
    found = _run(["espeak-ng", "-q", "--ipa", "-v", "en-us", "--", text]).decode()
    sounds = ", ".join(line.strip() for line in found.splitlines() if line.strip())
    for theirs, ours in _AS_NEURAL:
        sounds = sounds.replace(theirs, ours)
    return f"{sounds}." if text.endswith(".") else sounds


@lru_cache(maxsize=1)
def _neural_voice() -> tuple[Any, dict[str, int], dict[str, NDArray[np.float32]]]:
    import onnxruntime

    folder = Path(os.environ.get(NEURAL, ""))
    if not (folder / "voice.onnx").is_file():
        raise ModelError(f"There is no neural voice. Name its folder in {NEURAL}.")
    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = options.inter_op_num_threads = 1
    options.log_severity_level = 3
    session = onnxruntime.InferenceSession(
        str(folder / "voice.onnx"), options, providers=["CPUExecutionProvider"]
    )
    vocabulary = json.loads((folder / "vocab.json").read_text("utf-8"))["vocab"]
    with np.load(folder / "styles.npz") as styles:
        return session, vocabulary, {name: styles[name] for name in styles.files}


def _resampled(samples: NDArray[np.float32], from_hz: int) -> Sound:
    from scipy.signal import resample_poly

    shared = gcd(from_hz, RATE_HZ)
    moved = resample_poly(samples, RATE_HZ // shared, from_hz // shared)
    return np.asarray(np.clip(moved, -1, 1) * 32767, np.int16)


def _read_wave(data: bytes) -> Sound:
    with wave.open(BytesIO(data)) as file:
        rate_hz = file.getframerate()
        # a program that writes to a pipe does not know the length beforehand
        samples = np.frombuffer(file.readframes(1 << 28), "<i2")
    return _resampled(np.asarray(samples / 32768, np.float32), rate_hz)


def _run(command: list[str]) -> bytes:
    return subprocess.run(command, check=True, capture_output=True, timeout=_PATIENCE_S).stdout


def _scratch() -> Any:
    from contextlib import contextmanager
    from tempfile import TemporaryDirectory

    @contextmanager
    def made() -> Any:
        with TemporaryDirectory() as folder:
            yield Path(folder) / "said.wav"

    return made()
