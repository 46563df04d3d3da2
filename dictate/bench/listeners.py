"""What each listener makes of one recording, alone and together."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from dictate.audio.file import FileSource
from dictate.audio.source import RATE_HZ, SAMPLE_BYTES
from dictate.errors import ModelError
from dictate.grammar.load import Grammar
from dictate.model import Utterance
from dictate.recognise.adapter import read_manifest
from dictate.recognise.ear import combined, gaps_of
from dictate.recognise.joining import lay_out
from dictate.recognise.page import TAUGHT
from dictate.recognise.pair import OPEN, PairRecogniser, find_pair
from dictate.recognise.three import MARGIN_S
from dictate.recognise.weighing import Weighing


@dataclass(frozen=True, slots=True)
class Heard:
    """A listener's utterances, and the processor time that they took (seconds)."""

    name: str
    utterances: Sequence[Utterance]
    took_s: float


def hear(grammar: Grammar, sound: Path) -> list[Heard]:
    """Let every listener that is here hear a recording.

    Args:
        grammar: What the taught one is taught.
        sound: The recording.

    Returns:
        The open and the taught listener by themselves, the pair of them, and, where it was
        brought, the adapted one by itself and all three.

    Raises:
        ModelError: The speech model is not here, or cannot be used.
        InputError: The recording cannot be read.
    """
    pair = find_pair(grammar)
    began = time.process_time()
    two = list(pair.utterances(FileSource(sound)))
    took_s = time.process_time() - began
    found = [Heard(name, _alone(pair, two, name), took_s) for name in (OPEN, TAUGHT)]
    return [*found, Heard("pair", two, took_s), *_with_ear(grammar, pair, two, sound, took_s)]


def _alone(pair: PairRecogniser, two: Sequence[Utterance], name: str) -> list[Utterance]:
    return [alone for utterance in two if (alone := pair.alone(utterance, name)) is not None]


def _with_ear(
    grammar: Grammar, pair: PairRecogniser, two: Sequence[Utterance], sound: Path, pair_s: float
) -> list[Heard]:
    from dictate.recognise.adapted import AdaptedListener
    from dictate.recognise.ear_store import adapter_folder, find_ear, wants_ear

    try:
        if not wants_ear():
            return []
        ear = AdaptedListener(find_ear())
    except ModelError:
        return []
    samples = b"".join(chunk.samples for chunk in FileSource(sound).chunks())
    weighing = Weighing(grammar, gaps_of(read_manifest(adapter_folder())))
    alone, together = [], []
    began = time.process_time()
    for utterance in two:
        start_s = max(0.0, (utterance.start or 0.0) - MARGIN_S)
        end_s = (utterance.end or 0.0) + MARGIN_S
        first, last = (round(at_s * RATE_HZ) * SAMPLE_BYTES for at_s in (start_s, end_s))
        words = ear.hear(samples[first:last], start_s)
        together.append(combined(utterance, words, ear.weigh, weighing, pair.judge))
        if words:
            text, laid = lay_out(words)
            alone.append(Utterance(utterance.id, text, utterance.start, utterance.end, laid))
    took_s = time.process_time() - began
    return [Heard("adapted", alone, took_s), Heard("all three", together, pair_s + took_s)]
