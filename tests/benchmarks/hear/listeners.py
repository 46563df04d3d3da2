"""Each way of listening, by name, as something that hears a whole sound."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from kept import KeptEar, KeptThird, heard_by_both, memory_mb

from dictate.audio.source import RATE_HZ
from dictate.errors import ModelError
from dictate.grammar.load import Grammar
from dictate.model import Utterance
from dictate.recognise.adapter import read_manifest
from dictate.recognise.ear import combined, gaps_of
from dictate.recognise.ear_store import adapter_folder, find_ear
from dictate.recognise.heard_as import restore_utterance
from dictate.recognise.joining import HeardWord, heard_alone, lay_out
from dictate.recognise.model_store import find_model
from dictate.recognise.pair import PairRecogniser
from dictate.recognise.three import MARGIN_S, ThreeRecogniser, sayer
from dictate.recognise.vosk import VoskModel
from dictate.recognise.weighing import Weighing
from dictate.recognise.whisper import WhisperListener, find_weights


@dataclass(frozen=True, slots=True)
class Hearing:
    """What a listener made of a sound, the seconds that it took per second, and memory (MB)."""

    utterances: list[Utterance]
    ratio: float
    memory_mb: float


#: The listeners, by the name that the table gives them; ``adapted`` is that one alone, ``ear`` what
#: the program listens with. The last is the pair once more, on the
#: utterances that the third heard.
NAMES = ("open", "taught", "pair", "adapted", "ear", "three", "pair-3rd")


def hear(
    grammar: Grammar,
    names: Sequence[str],
    sound: Any,
    kept: Path,
    for_third: Callable[[Utterance], bool] = lambda utterance: True,
) -> dict[str, Hearing]:
    """Let listeners hear a sound; the pair and each of the two alone in one pass.

    Args:
        grammar: What the taught listener is taught.
        names: Of ``NAMES``.
        sound: 16 kHz mono samples.
        kept: The folder of what was heard before.
        for_third: Which utterances of the pair the third listener hears as well.
    """
    heard = _pair_and_each(grammar, sound, kept)
    if "three" in names:
        two = heard["pair"]
        chosen = [utterance for utterance in two.utterances if for_third(utterance)]
        heard["pair-3rd"] = replace(two, utterances=chosen)
        heard["three"] = _with_third(grammar, heard["pair-3rd"], sound, kept)
    if {"ear", "adapted"} & set(names):
        heard.update(_with_ear(grammar, heard["pair"], sound, kept))
    return {name: heard[name] for name in NAMES if name in names}


def _with_ear(grammar: Grammar, two: Hearing, sound: Any, kept: Path) -> dict[str, Hearing]:
    """The program's listeners, and the adapted one alone, on the utterances of the pair."""
    ear, pair, weighing = _ear(kept), _pair(grammar), _weighing(grammar)
    together, alone, of_s = [], [], 0.0
    before_s = ear.took_s
    for utterance in two.utterances:
        heard, long_s = ear_hears(ear, sound, utterance)
        of_s += long_s
        together.append(combined(utterance, heard, ear.weigh, weighing, pair.judge))
        if heard:
            text, words = lay_out(heard)
            alone.append(Utterance(utterance.id, text, utterance.start, utterance.end, words))
    ratio = (ear.took_s - before_s) / max(of_s, 1.0)
    return {
        "ear": Hearing(together, two.ratio + ratio, memory_mb()),
        "adapted": Hearing(alone, ratio, memory_mb()),
    }


def ear_hears(
    ear: KeptEar, sound: Any, utterance: Utterance
) -> tuple[tuple[HeardWord, ...], float]:
    """What the adapted listener hears of an utterance, and how much sound that is (seconds)."""
    start_s = max(0.0, (utterance.start or 0.0) - MARGIN_S)
    end_s = (utterance.end or 0.0) + MARGIN_S
    stretch = sound[round(start_s * RATE_HZ) : round(end_s * RATE_HZ)]
    return ear.hear(stretch.tobytes(), start_s), end_s - start_s


def _with_third(grammar: Grammar, two: Hearing, sound: Any, kept: Path) -> Hearing:
    three = _three(grammar)
    third = KeptThird(three._third, kept)
    heard, of_s = [], 0.0
    for utterance in two.utterances:
        start_s = max(0.0, (utterance.start or 0.0) - MARGIN_S)
        end_s = (utterance.end or 0.0) + MARGIN_S
        stretch = sound[round(start_s * RATE_HZ) : round(end_s * RATE_HZ)]
        of_s += end_s - start_s
        heard.append(three._check(utterance, third.hear(stretch.tobytes(), start_s)))
    # of the sound that the third heard: what the pauses would spare it is left out
    return Hearing(heard, two.ratio + third.took_s / max(of_s, 1.0), memory_mb())


def _pair_and_each(grammar: Grammar, sound: Any, kept: Path) -> dict[str, Hearing]:
    pair = _pair(grammar)
    heard = heard_by_both(pair, sound, kept)
    began = time.process_time()
    both = [pair._make(identity, stretch) for identity, stretch in heard.stretches.items()]
    took_s = heard.took_s + time.process_time() - began
    whole_s = len(sound) / RATE_HZ
    each = [
        [heard_alone(n, stretch[k]) for n, stretch in heard.stretches.items() if stretch[k]]
        for k in range(2)
    ]
    taught = [restore_utterance(u, pair._back, pair._scraps) for u in each[0]]
    return {
        "taught": Hearing(taught, heard.each_s[0] / whole_s, heard.memory_mb),
        "open": Hearing(each[1], heard.each_s[1] / whole_s, heard.memory_mb),
        "pair": Hearing(both, took_s / whole_s, heard.memory_mb),
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
def _ear(kept: Path) -> KeptEar:
    try:
        return KeptEar(find_ear(), kept)
    except ModelError as error:
        raise SystemExit(f"There is no adapted listener: {error}.") from None


@lru_cache(maxsize=1)
def _weighing(grammar: Grammar) -> Weighing:
    return Weighing(grammar, gaps_of(read_manifest(adapter_folder())))


@lru_cache(maxsize=1)
def _three(grammar: Grammar) -> ThreeRecogniser:
    try:
        third = WhisperListener(find_weights(), sayer(grammar))
    except ModelError as error:
        raise SystemExit(f"There is no third listener: {error}.") from None
    return ThreeRecogniser(_pair(grammar), third)
