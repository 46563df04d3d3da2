"""Print what becomes of every way of saying, with every sign and test of the grammar.

    PYTHONPATH=. python -m tests.sweep [--share 0.1] [--only denied doubted] [--list wrong]
        [--ways] [--bounds]

A table a kind: how many lines, and of a hundred how many are recorded right, asked, lost or WRONG
(present: what was denied, doubted or another's is recorded as found; of corrections: all is as it
was and nothing was asked). The ways stand in ways.yaml; the right answer for each kind in lines.py.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import Any
from zlib import crc32

from . import corrections, lines

#: The share of the lines that the test runs.
SAMPLE = 0.03
AT_LEAST = 100
MARKS = ("right", "asked", "lost", "wrong")
Result = lines.Judged | corrections.JudgedCorrection


def every(kind: str, share: float) -> Iterator[Result]:
    """The lines of a kind, judged: all, or evenly spread ones."""
    if kind in corrections.forms():
        for line in spread(list(corrections.lines(kind)), share):
            yield corrections.judge(line)
    else:
        for said in spread(list(lines.lines(kind)), share):
            yield lines.judge(said)


def spread(found: list[Any], share: float) -> list[Any]:
    """So many of a list and a hundred at least: those whose text has the lowest check sums.

    So the sample hardly changes when the grammar gets another word.
    """
    many = min(len(found), max(AT_LEAST, round(len(found) * share)))
    return sorted(found, key=lambda line: (crc32(line.said.encode()), line.said))[:many]


def bad(result: Result) -> bool:
    """What was not so is recorded, or nothing was corrected."""
    return result.present if isinstance(result, lines.Judged) else result.as_before


def bounds(results: Sequence[Result]) -> dict[str, float]:
    """What a sample must not fall below (right) or rise above, as bounds.yaml has it (percent)."""
    count = Counter(result.mark for result in results)
    of = len(results)
    found = {mark: round(100 * count[mark] / of, 1) for mark in ("right", "lost", "wrong")}
    return found | {"present": round(100 * sum(map(bad, results)) / of, 1)}


def row(name: str, results: Sequence[Result]) -> str:
    """One line of the table."""
    count = Counter(result.mark for result in results)
    shares = "".join(f"{100 * count[mark] / len(results):8.1f}" for mark in MARKS)
    return f"{name:28}{len(results):7}{shares}{sum(map(bad, results)):9}"


def by_way(results: Iterable[Result]) -> Iterator[str]:
    """A line of the table for each way, the worst first."""
    ways: dict[str, list[Result]] = {}
    for result in results:
        ways.setdefault(result.line.way, []).append(result)
    for way, found in sorted(
        ways.items(), key=lambda w: sum(r.mark == "right" for r in w[1]) / len(w[1])
    ):
        yield "  " + row(way if len(way) < 26 else way[:23] + "...", found)


def told(result: Result) -> str:
    """One line of the list."""
    line = result.line
    found = "; ".join(" ".join(str(part or "-") for part in row) for row in result.found)
    return f"{result.mark:6}{'!' if bad(result) else ' '} {line.said}  ->  {found or '(nothing)'}"


def main() -> None:
    """Print the tables."""
    kinds = [*lines.kinds(), *corrections.forms()]
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--share", type=float, default=1.0, help="of the lines, evenly spread")
    parser.add_argument("--only", nargs="*", choices=kinds, default=kinds, help="kinds")
    parser.add_argument("--list", choices=[*MARKS, "all"], help="print the lines with this mark")
    parser.add_argument("--ways", action="store_true", help="a line for each way of saying too")
    parser.add_argument("--bounds", action="store_true", help="print them as bounds.yaml has them")
    args = parser.parse_args()
    if args.bounds:
        for kind in args.only:
            values = ", ".join(f"{k}: {v}" for k, v in bounds(list(every(kind, SAMPLE))).items())
            print(f"{kind}: {{{values}}}")
        return
    print(f"{'':28}{'lines':>7}{''.join(f'{mark:>8}' for mark in MARKS)}{'present':>9}")
    for kind in args.only:
        results = list(every(kind, args.share))
        print(row(kind, results))
        if args.ways:
            print(*by_way(results), sep="\n")
        for result in results if args.list else ():
            if args.list in ("all", result.mark):
                print("   ", told(result))


if __name__ == "__main__":
    main()
