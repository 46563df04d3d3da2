"""Each way of listening, by name, as something that hears a whole sound."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

from kept import heard_by_both, memory_mb
from room import Played

from dictate.errors import ModelError
from dictate.grammar.load import Grammar
from dictate.model import Utterance
from dictate.recognise.heard_as import restore_utterance
from dictate.recognise.joining import heard_alone
from dictate.recognise.model_store import find_model
from dictate.recognise.pair import PairRecogniser
from dictate.recognise.three import ThreeRecogniser, sayer
from dictate.recognise.vosk import VoskModel
from dictate.recognise.whisper import WhisperListener, find_weights


@dataclass(frozen=True, slots=True)
class Hearing:
    """What a listener made of a sound, the seconds that it took, and the memory (MB)."""

    utterances: list[Utterance]
    took_s: float
    memory_mb: float


#: The listeners, by the name that the table gives them.
NAMES = ("open", "taught", "pair", "three")


def hear(grammar: Grammar, names: Sequence[str], sound: Any, kept: Path) -> dict[str, Hearing]:
    """Let listeners hear a sound; the pair and each of the two alone in one pass.

    Args:
        grammar: What the taught listener is taught.
        names: Of ``NAMES``.
        sound: 16 kHz mono samples.
        kept: The folder of what was heard before.
    """
    heard: dict[str, Hearing] = {}
    if set(names) - {"three"}:
        heard = _pair_and_each(grammar, sound, kept)
    if "three" in names:
        three = _three(grammar)
        began = time.process_time()
        found = list(three.utterances(Played(sound)))
        heard["three"] = Hearing(found, time.process_time() - began, memory_mb())
    return {name: heard[name] for name in names}


def _pair_and_each(grammar: Grammar, sound: Any, kept: Path) -> dict[str, Hearing]:
    pair = _pair(grammar)
    heard = heard_by_both(pair, sound, kept)
    began = time.process_time()
    both = [pair._make(identity, stretch) for identity, stretch in heard.stretches.items()]
    took_s = heard.took_s + time.process_time() - began
    each = [
        [heard_alone(n, stretch[k]) for n, stretch in heard.stretches.items() if stretch[k]]
        for k in range(2)
    ]
    taught = [restore_utterance(u, pair._back, pair._scraps) for u in each[0]]
    return {
        "taught": Hearing(taught, heard.each_s[0], heard.memory_mb),
        "open": Hearing(each[1], heard.each_s[1], heard.memory_mb),
        "pair": Hearing(both, took_s, heard.memory_mb),
    }


@lru_cache(maxsize=1)
def _model() -> VoskModel:
    folder = find_model()
    if folder is None:
        raise SystemExit("The speech model is not here yet. Run: dictate setup")
    return VoskModel(folder)


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
