"""Each way of listening, by name, as something that hears a whole sound."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from room import Played

from dictate.errors import ModelError
from dictate.grammar.load import Grammar
from dictate.model import Utterance
from dictate.recognise.engines import Engine
from dictate.recognise.heard_as import restore_utterance
from dictate.recognise.joining import Stretch, heard_alone
from dictate.recognise.listening import listen
from dictate.recognise.model_store import find_model
from dictate.recognise.pair import PairRecogniser
from dictate.recognise.three import ThreeRecogniser, sayer
from dictate.recognise.vosk import VoskModel
from dictate.recognise.whisper import WhisperListener, find_weights


@dataclass(frozen=True, slots=True)
class Hearing:
    """What a listener made of a sound, and the seconds that it took."""

    utterances: list[Utterance]
    took_s: float


#: The listeners, by the name that the table gives them.
NAMES = ("open", "taught", "pair", "three")


def hear(grammar: Grammar, names: Sequence[str], sound: Any) -> dict[str, Hearing]:
    """Let listeners hear a sound; the pair and each of the two alone in one pass.

    Args:
        grammar: What the taught listener is taught.
        names: Of ``NAMES``.
        sound: 16 kHz mono samples.
    """
    heard: dict[str, Hearing] = {}
    if set(names) - {"three"}:
        heard = _pair_and_each(grammar, sound)
    if "three" in names:
        three = _three(grammar)
        began = time.process_time()
        found = list(three.utterances(Played(sound)))
        heard["three"] = Hearing(found, time.process_time() - began)
    return {name: heard[name] for name in names}


def _pair_and_each(grammar: Grammar, sound: Any) -> dict[str, Hearing]:
    pair = _pair(grammar)
    stretches: dict[str, Stretch] = {}
    make = pair._make

    def keep(identity: str, stretch: Stretch) -> Utterance:
        stretches[identity] = stretch
        return make(identity, stretch)

    began = time.process_time()
    pair._make = keep  # type: ignore[method-assign]
    listening = pair.start()
    clocks = [_Clock(engine) for engine in listening._engines]
    listening._engines = tuple(clocks)
    both = list(listen(listening, Played(sound)))
    took_s = time.process_time() - began
    pair._make = make  # type: ignore[method-assign]
    each = [
        Hearing([heard_alone(n, s[k]) for n, s in stretches.items() if s[k]], clock.took_s)
        for k, clock in enumerate(clocks)
    ]
    taught = [restore_utterance(u, pair._back, pair._scraps) for u in each[0].utterances]
    return {
        "taught": Hearing(taught, clocks[0].took_s),
        "open": each[1],
        "pair": Hearing(both, took_s),
    }


class _Clock:
    """An engine, and the processor time that it takes in the thread that it works in."""

    def __init__(self, engine: Engine) -> None:
        self._engine, self.took_s = engine, 0.0

    def __getattr__(self, name: str) -> Callable[..., Any]:
        work = getattr(self._engine, name)

        def timed(*given: Any) -> Any:
            began = time.thread_time()
            try:
                return work(*given)
            finally:
                self.took_s += time.thread_time() - began

        return timed


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
