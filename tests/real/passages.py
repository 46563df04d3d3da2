"""Read real dictated passages and say what became of each statement.

Not collected by pytest. Run: python tests/real/passages.py [FOLDER-or-JSONL] [--only ID...]
[--wrong]. Takes a folder of .txt files or a file of one JSON object a line (`id`, `text`); without
either, the passages beside the checkout. With gold for a passage, each statement gets its mark.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE)]

from gold import (  # noqa: E402
    PASSAGES,
    Heard,
    Judged,
    Passage,
    Span,
    Statement,
    hear,
    judge,
    overlap,
    read_gold,
    read_passages,
    totals,
)


def _pieces(passage: Passage) -> list[Span]:
    """The sentences of a passage, for passages without gold: cut after a stop and at line ends."""
    spans, start = [], 0
    text = passage.text
    for at, char in enumerate(text):
        stop = char in ".;?!" and (at + 1 == len(text) or text[at + 1].isspace())
        if stop or char == "\n" or at + 1 == len(text):
            if text[start : at + 1].strip():
                spans.append((start, at + 1))
            start = at + 1
    return spans


def _became(at: Span, heard: Heard) -> list[str]:
    lines = [" ".join(row) for row, spans in heard.findings if overlap(spans, at)]
    lines += [f"? {kind}: {say}" for kind, say, spans in heard.questions if overlap(spans, at)]
    return lines or ["(left as a remark)"]


def _wanted(statement: Statement) -> str:
    if not statement.readings:
        return statement.kind
    readings = [", ".join(sorted(map(" ".join, reading))) for reading in statement.readings]
    return f"{statement.kind} " + " | or ".join(readings)


def show(passage: Passage, heard: Heard) -> None:
    """Print what each sentence of a passage became, where there is no gold."""
    print(f"\n## {passage.id} (no gold)")
    for at in _pieces(passage):
        print(f"  {passage.text[slice(*at)].strip()}")
        for line in _became(at, heard):
            print(f"      {line}")


def show_judged(passage: Passage, heard: Heard, judged: Judged, only_wrong: bool) -> None:
    """Print each statement of a passage with its mark; with ``only_wrong`` those that fail."""
    lines: list[str] = []
    for statement, mark in judged.marks:
        fails = mark in ("lost", "wrong")
        if only_wrong and not fails:
            continue
        lines.append(f"  [{mark}] {passage.text[slice(*statement.at)].strip()}")
        lines += [f"      {line}" for line in _became(statement.at, heard)]
        if fails or mark == "asked":
            lines.append(f"      wanted: {_wanted(statement)}")
        lines += [
            f"      contradicts: {' '.join(row)}"
            for row, at in judged.contradictions
            if at == statement.at
        ]
    for row, at in judged.unjudged:
        lines.append(f"  [unjudged] {passage.text[slice(*at)]}: {' '.join(row)}")
    if lines:
        print(f"\n## {passage.id}", *lines, sep="\n")


def main() -> None:
    """Read the arguments, then the passages."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("source", nargs="?", type=Path, default=PASSAGES)
    parser.add_argument("--only", nargs="+", metavar="ID", help="these passages alone")
    parser.add_argument("--wrong", action="store_true", help="only statements lost or wrong")
    asked = parser.parse_args()
    if not asked.source.exists():
        parser.error(f"{asked.source} is not there; name a folder of .txt files or a .jsonl file")
    gold, scored = read_gold(), []
    for passage in read_passages(asked.source):
        if asked.only and passage.id not in asked.only:
            continue
        heard = hear(passage)
        if passage.id in gold:
            scored.append(judge(passage.id, heard, gold[passage.id]))
            show_judged(passage, heard, scored[-1], asked.wrong)
        elif not asked.wrong:
            show(passage, heard)
    if not scored:
        print("\nNo gold for these passages: no score.")
        return
    count = totals(scored)
    covered = sum(count[mark] for mark in ("right", "asked", "lost", "wrong"))
    share = (count["right"] + count["asked"]) / covered if covered else 1.0
    print(f"\n{len(scored)} passages with gold, {covered} statements covered:")
    print(", ".join(f"{number} {name}" for name, number in count.items()))
    print(f"right or asked: {share:.1%}")


if __name__ == "__main__":
    main()
