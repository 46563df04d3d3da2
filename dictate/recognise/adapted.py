"""The adapted listener: hears a stretch of sound that is there as a whole, and weighs readings.

The one place that imports ctranslate2. It is given the shortest window that holds the stretch,
which costs a sixth of the usual one and hears as well (it was taught so).
"""

from __future__ import annotations

import os
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from dictate.errors import ModelError
from dictate.recognise.ear_fetch import TOKENIZER
from dictate.recognise.joining import HeardWord
from dictate.recognise.mel import HOP, RATE_HZ, log_mel, size_for
from dictate.recognise.prompt import prompt_of
from dictate.recognise.sounds import sounds_of

#: Silence before the sound (seconds): it was taught with some, and loses a word at the start.
LEAD_S = 0.3
#: The peak that the sound is brought to (1 is full scale): quiet speech is heard as well as loud.
_PEAK = 0.5
_MOST_THREADS = 4
#: Words of one text that are written at most, for each second of sound, and for a start.
_TOKENS_A_SECOND, _TOKENS = 9, 24
#: Seconds that one step of the word times stands for.
_STEP_S = 0.02
#: A word is no longer than this for each of its sounds, and as much more once (seconds).
_SOUND_S = 0.14
_WORD = re.compile(r"[^\W_]+(?:['’][^\W_]+)*")


class AdaptedListener:
    """Hears a stretch of sound; the same sound gives the same words on one machine."""

    name = "adapted"

    def __init__(self, folder: Path, threads: int = 0) -> None:
        """Load the weights; takes half a second.

        Args:
            folder: Where they are (``ear_store.find_ear``).
            threads: That work at once; 0 for as many as there are processors, four at most.

        Raises:
            ModelError: They or a library are missing or cannot be used; a clause.
        """
        try:
            os.environ.setdefault("HF_HUB_OFFLINE", "1")
            import ctranslate2
            from tokenizers import Tokenizer
        except (ImportError, OSError) as error:
            raise ModelError(f"a package that it needs cannot be loaded: {error}") from None
        try:
            self._tokenizer: Any = Tokenizer.from_file(str(folder / TOKENIZER))
            self._model: Any = ctranslate2.models.Whisper(
                str(folder),
                device="cpu",
                compute_type="int8",
                intra_threads=threads or min(_MOST_THREADS, os.cpu_count() or 1),
            )
            self._view: Any = ctranslate2.StorageView.from_array
        except Exception as error:
            raise ModelError(f"the weights in {folder} cannot be used: {error}") from None
        self._prompt = prompt_of(51_864 if not self._model.is_multilingual else 51_865)
        self._heard: Any = None
        self._frames = 0

    def hear(self, samples: bytes, start_s: float) -> tuple[HeardWord, ...]:
        """What is said in a stretch of sound, in spoken words, with the marks of pauses.

        Args:
            samples: 16 kHz mono, little-endian int16; at most 30 seconds.
            start_s: Where it starts; added to the times of the words.

        Returns:
            Words in small letters, with times and probability; a comma or a full stop that was
            heard stands at the end of its word.

        Raises:
            ModelError: The library fails; a clause.
        """
        sound = np.frombuffer(samples, "<i2").astype(np.float32) / 32768
        peak = float(np.abs(sound).max(initial=0.0))
        if not peak:
            self._heard = None
            return ()
        lead = round(LEAD_S * RATE_HZ)
        size = round(size_for(len(sound) / RATE_HZ + LEAD_S) * RATE_HZ)
        window = np.zeros(size, np.float32)
        window[lead : lead + len(sound)] = (sound * (_PEAK / peak))[: size - lead]
        self._frames = min(size, lead + len(sound)) // HOP
        try:
            self._heard = self._model.encode(
                self._view(np.ascontiguousarray(log_mel(window[np.newaxis])))
            )
            found = self._model.generate(
                self._heard,
                [list(self._prompt.begin)],
                beam_size=1,
                max_length=round(_TOKENS + _TOKENS_A_SECOND * len(sound) / RATE_HZ),
                suppress_blank=False,
                suppress_tokens=[],
            )
            tokens = [t for t in found[0].sequences_ids[0] if t < self._prompt.end]
            return self._words(tokens, start_s - LEAD_S)
        except Exception as error:
            raise ModelError(f"it cannot hear: {error}") from None

    def encoded(self, windows: NDArray[np.int16]) -> NDArray[np.float32]:
        """What its encoder makes of whole windows: 50 places a second (windows, places, width).

        Args:
            windows: 16 kHz mono, one of ``mel.SIZES_S`` long.

        Raises:
            ModelError: The library fails; a clause.
        """
        try:
            features = log_mel(windows.astype(np.float32) / 32768)
            heard = self._model.encode(self._view(np.ascontiguousarray(features)))
            return np.array(heard, np.float32)
        except Exception as error:
            raise ModelError(f"it cannot hear: {error}") from None

    def weigh(self, texts: Sequence[str]) -> list[float]:
        """How likely each text is for the sound that was heard last (logarithms).

        Args:
            texts: As ``hear`` writes them.

        Raises:
            ModelError: The library fails, or nothing was heard yet; a clause.
        """
        if self._heard is None:
            raise ModelError("it has heard nothing that could be weighed")
        found = []
        for text in texts:
            tokens = self._tokenizer.encode(f" {text}", add_special_tokens=False).ids
            found.append(
                float(np.log(np.maximum(self._aligned(tokens).text_token_probs, 1e-9)).sum())
            )
        return found

    def _aligned(self, tokens: Sequence[int]) -> Any:
        """The times and the probability of each token; the prompt's part is the library's own."""
        return self._model.align(
            self._heard, list(self._prompt.begin[:-1]), [list(tokens)], self._frames
        )[0]

    def _words(self, tokens: Sequence[int], start_s: float) -> tuple[HeardWord, ...]:
        if not tokens:
            return ()
        aligned = self._aligned(tokens)
        begins: dict[int, float] = {}
        for token, step in aligned.alignments:
            begins.setdefault(token, step * _STEP_S)
        probable = list(aligned.text_token_probs)
        groups: list[list[int]] = []
        for place, token in enumerate(tokens):
            text = self._tokenizer.decode([token])
            if not groups or text.startswith(" "):
                groups.append([])
            groups[-1].append(place)
        ends = [begins.get(group[0], 0.0) for group in groups[1:]] + [self._frames * HOP / RATE_HZ]
        words: list[HeardWord] = []
        for group, end_s in zip(groups, ends, strict=True):
            text = self._tokenizer.decode([tokens[place] for place in group]).strip().lower()
            if not _WORD.search(text):
                continue
            begin_s = begins.get(group[0], 0.0)
            long_s = _SOUND_S * (1 + len(next(iter(sounds_of(text.rstrip(",.?"))), "")))
            if words:  # the pause after a word is given to the word
                end_s = min(end_s, begin_s + long_s)
            else:  # and the silence before the first one to that
                begin_s = max(begin_s, end_s - long_s)
            sure = min(probable[place] for place in group)
            words.append(
                HeardWord(text, start_s + begin_s, start_s + max(begin_s, end_s), float(sure))
            )
        return tuple(words)
