"""Each way of listening, by name, as something that hears a whole sound."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from room import Played

from dictate.audio.source import AudioSource
from dictate.errors import ModelError
from dictate.grammar.load import Grammar
from dictate.model import Utterance
from dictate.recognise.heard_as import restore_utterance
from dictate.recognise.model_store import find_model
from dictate.recognise.pair import PairRecogniser
from dictate.recognise.phrases import Phrases, phrases_of
from dictate.recognise.three import ThreeRecogniser, sayer
from dictate.recognise.vosk import VoskModel, VoskRecogniser
from dictate.recognise.whisper import WhisperListener, find_weights


@dataclass(frozen=True, slots=True)
class Hearing:
    """What a listener made of a sound, and the seconds that it took."""

    utterances: list[Utterance]
    took_s: float


def listeners(grammar: Grammar) -> dict[str, Callable[[], Any]]:
    """Name and maker of each listener: open alone, taught alone, the pair, the three."""
    return {
        "open": lambda: VoskRecogniser(_model()),
        "taught": lambda: _Taught(grammar),
        "pair": lambda: _pair(grammar),
        "three": lambda: _three(grammar),
    }


def hear(maker: Callable[[], Any], sound: Any) -> Hearing:
    """Let a listener hear a sound."""
    recogniser = maker()
    began = time.process_time()
    heard = list(recogniser.utterances(Played(sound)))
    return Hearing(heard, time.process_time() - began)


@lru_cache(maxsize=1)
def _model() -> VoskModel:
    folder = find_model()
    if folder is None:
        raise SystemExit("The speech model is not here yet. Run: dictate setup")
    return VoskModel(folder)


class _Taught:
    """The listener that knows the trade, by itself."""

    def __init__(self, grammar: Grammar) -> None:
        self._found = _phrases(grammar)

    def utterances(self, source: AudioSource) -> Iterator[Utterance]:
        """What it hears, with the real words."""
        recogniser = VoskRecogniser(_model(), self._found.phrases)
        for utterance in recogniser.utterances(source):
            yield restore_utterance(utterance, self._found.back, self._found.scraps)


@lru_cache(maxsize=1)
def _phrases(grammar: Grammar) -> Phrases:
    return phrases_of(grammar, _model().knows)


@lru_cache(maxsize=1)
def _pair(grammar: Grammar) -> PairRecogniser:
    return PairRecogniser(_model(), grammar)


@lru_cache(maxsize=1)
def _three(grammar: Grammar) -> ThreeRecogniser:
    try:
        third = WhisperListener(find_weights(), sayer(grammar))
    except ModelError as error:
        raise SystemExit(f"There is no third listener: {error}.") from None
    return ThreeRecogniser(_pair(grammar), third)
