"""Human speech: single words by many speakers, and what is silently taken for another."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
from listeners import hear

from dictate.audio.file import FileSource
from dictate.audio.source import RATE_HZ
from dictate.grammar.load import Grammar

#: Silence put before and after a clip (seconds): a person does not begin with the first sample.
MARGIN_S = 0.4


def table(grammar: Grammar, folder: Path, names: Sequence[str], kept: Path) -> Iterator[str]:
    """One line a listener: right, taken for another word of the list, noticed.

    A word counts as heard where the listener gives it and, if it is checked by another listener,
    the two agree.

    Args:
        grammar: Words of the trade.
        folder: The clips, with their manifest.
        names: Which listeners.
        kept: The folder of what was heard before.
    """
    clips = [r for r in csv.DictReader((folder / "manifest.csv").open()) if " " not in r["words"]]
    listed = {row["words"] for row in clips}
    yield f"human speech: {len(clips)} lone words    right  as another  else"
    heard = [_heard(grammar, names, folder / row["file"], kept) for row in clips]
    for name in names:
        right = other = rest = 0
        wrong = []
        for row, words_of in zip(clips, heard, strict=True):
            words = words_of[name]
            if words == [row["words"]]:
                right += 1
            elif len(words) == 1 and words[0] in listed:
                other += 1
                wrong.append(f"{row['words']}→{words[0]}")
            else:
                rest += 1
        yield f"{name:32} {right:6} {other:11} {rest:5}   {' '.join(wrong)}"


def _heard(grammar: Grammar, names: Sequence[str], path: Path, kept: Path) -> dict[str, list[str]]:
    samples = b"".join(chunk.samples for chunk in FileSource(path).chunks())
    margin = np.zeros(int(MARGIN_S * RATE_HZ), np.int16)
    sound = np.concatenate([margin, np.frombuffer(samples, "<i2"), margin])
    return {
        name: [
            word.text
            for utterance in found.utterances
            for word in utterance.words
            if word.agreed is not False
        ]
        for name, found in hear(grammar, names, sound, kept).items()
    }
