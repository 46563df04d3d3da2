"""What is spoken in the benchmark, and the record that must come of it."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Collection
from pathlib import Path

import yaml

from dictate.bench.cases import Case, examinations, typed
from dictate.grammar.load import Grammar
from dictate.recognise.pronunciation import dictionary
from dictate.recognise.weighty import weighty_words

HERE = Path(__file__).resolve().parent
STATEMENTS = HERE.parents[1] / "narrations" / "statements.yaml"
#: Typed forms that nobody speaks as they stand (digits, signs, abbreviations).
_TYPED_ONLY = re.compile(r"[^A-Za-z ,.'’;:?-]|^\?|\b[A-Z]{2,}\b")


def own_cases(grammar: Grammar, share: float) -> list[Case]:
    """The narrations of our own: the statements of the tests, and whole rounds.

    The expected record is what the same words give when they are typed; for the statements the
    test suite holds it against a judged one.

    Args:
        grammar: Words of the trade.
        share: The part of the statements that is taken, 0..1, by hash.
    """
    given = yaml.safe_load(STATEMENTS.read_text("utf-8"))
    words = dictionary().keys() | weighty_words(grammar).trade
    cases = []
    for entry in given:
        lines = (*entry.get("before", []), entry["say"])
        if "find" in entry and all(_is_spoken(line, words) for line in lines):
            cases.append(typed(grammar, lines))
    chosen = [case for case in cases if _lot(" ".join(case.lines)) < share]
    return chosen + [typed(grammar, lines) for lines in examinations()]


def _is_spoken(line: str, words: Collection[str]) -> bool:
    """Not in writing alone, and no word in it was made up to stand for one that nobody knows."""
    said = (word.strip(".,;:?'").lower() for word in re.split(r"[ -]", line.replace("’", "'")))
    return not _TYPED_ONLY.search(line) and all(word in words for word in said if word)


def talk(path: Path, words: int, seed: int) -> list[str]:
    """Turns of ordinary talk, whole dialogues by lot, until there are so many words."""
    dialogues = [json.loads(line) for line in path.read_text("utf-8").splitlines()]
    dialogues.sort(key=lambda d: _lot(f"{seed} {d['id']}"))
    turns: list[str] = []
    for dialogue in dialogues:
        for turn in dialogue["turns"]:
            text = re.sub(r"<[^>]*>", " ", turn["text"])
            text = " ".join(re.sub(r"[^A-Za-z0-9 ,.'’?-]", " ", text).split())
            if re.search("[A-Za-z]", text):
                turns.append(text)
            if sum(len(t.split()) for t in turns) >= words:
                return turns
    return turns


def _lot(text: str) -> float:
    return int(hashlib.sha256(text.encode()).hexdigest()[:8], 16) / 0xFFFFFFFF
