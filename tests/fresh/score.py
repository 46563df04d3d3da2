"""Score a round of fresh narrations.

    PYTHONPATH=. python tests/fresh/score.py ROUND_FOLDER [--reader NAME] [--list] [--by-style]

The form of a round: rounds.py. A reader is "today", or "module:name" of something that makes a
session of its own (called without arguments); "first" is today's first reader without the second,
"unweighed" both without the network that weighs what they do not agree on.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import import_module
from math import sqrt
from pathlib import Path
from typing import Any

import yaml

sys.path.insert(0, str(Path(__file__).resolve().parent))

from rounds import Hear, Row, Score, judge_all, read_round

from dictate.grammar import load_grammar
from dictate.model import Record, Utterance
from dictate.session import Session

#: The 97.5th percentile of the normal distribution: 95% two-sided.
Z95 = 1.959964
#: Values of every test.
NOT_DONE = frozenset({"not_tested", "unable"})
#: Dermatomes are sites: the roots of the spine, and how many there are.
ROOTS = {"c": 8, "t": 12, "l": 5, "s": 5}


def reader(name: str) -> Hear:
    """How a narration is heard, by name."""
    if name in {"today", "first", "unweighed"}:
        grammar = load_grammar()

        def make() -> Session:
            return Session(grammar, alone=name == "first", weighed=name != "unweighed")
    else:
        module, _, attribute = name.partition(":")
        make = getattr(import_module(module), attribute)

    def hear(lines: tuple[Utterance, ...]) -> Record:
        session = make()
        for line in lines:
            session.take(line)
        return session.record()

    return hear


@dataclass(frozen=True)
class Words:
    """What a gold can hold: the tests of the binding vocabulary, with their sites and values."""

    sites: Mapping[str, frozenset[str | None]]
    values: Mapping[str, frozenset[str] | None]

    def hold(self, row: Row) -> bool:
        """Whether a gold can name this finding.

        Args:
            row: Its test, site, side and value.
        """
        test, site, _, value = row
        if test not in self.sites or site not in self.sites[test]:
            return False
        values = self.values[test]
        return values is None or value in values or value in NOT_DONE


@lru_cache(maxsize=1)
def words() -> Words | None:
    """The binding vocabulary, where it is beside us; a scale as values holds any grade."""
    path = Path(__file__).resolve().parents[3] / "shared" / "contract" / "vocabulary.yaml"
    if not path.exists():
        return None
    told = yaml.load(path.read_text("utf-8"), yaml.BaseLoader)
    groups = {name: frozenset(_sites(found)) for name, found in told["sites"].items()}
    groups["region"] |= {f"{part}{n}" for part, last in ROOTS.items() for n in range(1, last + 1)}
    scales = told["scales"]
    sites: dict[str, frozenset[str | None]] = {}
    values: dict[str, frozenset[str] | None] = {}
    for name, spec in told["tests"].items():
        own, of = spec["sites"], spec["values"]
        sites[name] = groups.get(own, frozenset()) if isinstance(own, str) else frozenset(own)
        sites[name] |= {None} if own == "-" or "all" not in sites[name] else frozenset()
        grades = [g for one in of if isinstance(scales.get(one), list) for g in scales[one]]
        values[name] = None if isinstance(of, str) else frozenset([*of, *grades])
    return Words(sites, values)


def _sites(found: Iterable[Any]) -> Iterator[str]:
    """The ids in lists of lists; of "a -> b" the record's site is b."""
    for one in found:
        if isinstance(one, str):
            yield one.rsplit("-> ", 1)[-1]
        else:
            yield from _sites(one)


def wilson(errors: int, of: int) -> tuple[float, float]:
    """The 95% interval of a share (Wilson 1927, J Am Stat Assoc 22:209), 0 to 1.

    More errors than there are things count as all of them.
    """
    if not of:
        return 0.0, 1.0
    p = min(1.0, errors / of)
    middle = (p + Z95**2 / (2 * of)) / (1 + Z95**2 / of)
    half = Z95 * sqrt(p * (1 - p) / of + Z95**2 / (4 * of**2)) / (1 + Z95**2 / of)
    return max(0.0, middle - half), min(1.0, middle + half)


def table(scores: Sequence[Score]) -> Iterator[str]:
    """The figures, a line each."""
    of = sum(len(score.narration.find) for score in scores)
    due = sum(len(score.narration.ask) for score in scores)

    def count(name: str) -> int:
        return sum(len(getattr(score, name)) for score in scores)

    def share(number: int, whole: int) -> str:
        return f"{number:5} {100 * number / whole:6.1f}%" if whole else f"{number:5}"

    silent, low_high = count("silent"), wilson(count("silent"), of)
    held = words()
    beyond = [r for s in scores for r, _ in s.silent if held is not None and not held.hold(r)]
    same = sum(exact for score in scores for _, _, exact in score.asked)
    yield f"{len(scores)} narrations, {of} findings, {due} questions due"
    yield f"captured           {share(count('captured'), of)}"
    yield f"asked              {share(count('asked_about'), of)}"
    yield f"lost               {share(count('lost'), of)}"
    yield (
        f"silent errors      {silent:5} {100 * silent / max(of, 1):6.2f} per 100"
        f"  (95%: {100 * low_high[0]:.2f} to {100 * low_high[1]:.2f})"
    )
    yield f"  of which of tests, sites or values that no gold can name {len(beyond)}"
    yield f"due, asked         {share(len([a for s in scores for a in s.asked]), due)}"
    yield f"  of the same kind {share(same, due)}"
    needless = count("needless")
    yield f"needless questions {needless:5} {100 * needless / max(of, 1):6.2f} per 100"


def errors(score: Score) -> Iterator[str]:
    """Each thing of one narration that is not as the gold has it, with its line."""
    kinds = (
        ("SILENT", score.silent),
        ("lost", score.lost),
        ("asked", score.asked_about),
        ("not asked", score.not_asked),
        ("needless", score.needless),
    )
    for kind, found in kinds:
        for what, line in found:
            said = score.narration.lines[line - 1] if line else "(no words)"
            yield f"{kind:9} {score.narration.id}:{line}  {_words(what)}  | {said}"


def _words(what: Row | str) -> str:
    return what if isinstance(what, str) else " ".join(part or "-" for part in what)


def main() -> None:
    """Print the figures of a round."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("round", type=Path, help="a folder with narrations.yaml and gold.yaml")
    parser.add_argument("--reader", default="today", help='"today", "first", or module:name')
    parser.add_argument("--list", action="store_true", help="print each error with its line")
    parser.add_argument("--by-style", action="store_true", help="the figures of each style too")
    args = parser.parse_args()
    scores = judge_all(read_round(args.round), reader(args.reader))
    for score in scores if args.list else ():
        print(*errors(score), sep="\n", end="\n" if any(errors(score)) else "")
    for style in dict.fromkeys(s.narration.style for s in scores) if args.by_style else ():
        print(
            f"\n{style or '(no style)'}:",
            *table([s for s in scores if s.narration.style == style]),
            sep="\n",
        )
    print(*table(scores), sep="\n")


if __name__ == "__main__":
    main()
