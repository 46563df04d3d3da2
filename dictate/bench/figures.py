"""Figures of one voice: each listener's findings against those of the typed lines."""

from __future__ import annotations

import resource
from collections.abc import Sequence
from pathlib import Path

from dictate import __version__
from dictate.bench.cases import examinations, typed
from dictate.bench.listeners import Heard, hear
from dictate.bench.reading import Mark
from dictate.bench.score import HEAD, HEAD2, Score
from dictate.grammar.load import Grammar
from dictate.model import Record, Utterance
from dictate.recognise.phrases import spoken_hash
from dictate.session import Session

_WIDTH = 10


def figures(grammar: Grammar, sound: Path, marks: Sequence[Mark]) -> str:
    """Hear a recording with every listener, and print what came of it.

    Args:
        grammar: What can be said.
        sound: The recording.
        marks: Where which line was read.

    Raises:
        ModelError: The speech model is not here, or cannot be used.
        InputError: The recording cannot be read.
    """
    cases = sorted({mark.case for mark in marks})
    spoken_s = sum(mark.end_s - mark.start_s for mark in marks if not mark.void)
    rows = [
        f"dictate {__version__}, grammar {spoken_hash(grammar)[:12]}: somebody read "
        f"{len(cases)} invented examinations, {sum(not m.void for m in marks)} lines, "
        f"{spoken_s:.0f} seconds",
        f"{'listener':{_WIDTH}}{HEAD}  time/dur",
        f"{'':{_WIDTH}}{HEAD2}",
    ]
    whole_s = max(mark.end_s for mark in marks)
    for heard in hear(grammar, sound):
        score = judged(grammar, marks, heard)
        rows.append(f"{heard.name:{_WIDTH}}{score.line()} {heard.took_s / whole_s:8.2f}")
    memory_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    rows.append(f"most memory {memory_mb:.0f} MB")
    return "\n".join(rows) + "\n"


def judged(grammar: Grammar, marks: Sequence[Mark], heard: Heard) -> Score:
    """Give each utterance to the examination in which it was spoken, and score them."""
    of_case: dict[int, list[Utterance]] = {}
    for utterance in heard.utterances:
        mark = _mark_of(marks, utterance)
        if not mark.void:
            of_case.setdefault(mark.case, []).append(utterance)
    score, whole = Score(), examinations()
    for case in sorted({mark.case for mark in marks}):
        score.add(typed(grammar, whole[case]), _record(grammar, of_case.get(case, [])))
    return score


def _mark_of(marks: Sequence[Mark], utterance: Utterance) -> Mark:
    middle_s = ((utterance.start or 0.0) + (utterance.end or 0.0)) / 2
    return min(marks, key=lambda m: max(m.start_s - middle_s, middle_s - m.end_s))


def _record(grammar: Grammar, heard: Sequence[Utterance]) -> Record:
    session = Session(grammar)
    for utterance in heard:
        session.take(utterance)
    return session.record()
