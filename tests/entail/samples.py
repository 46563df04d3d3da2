"""Make judged pairs of the fresh rounds, for ``dictate teach-entailment``.

    PYTHONPATH=. python tests/entail/samples.py OUT ROUND_FOLDER ...

What a line says is known from the gold, so a pair of line and finding is right or wrong:

- each finding of the gold with its line is right;
- the same with the other side, another value, site or test, or at a line that says no such thing,
  is wrong where the gold of that narration has none such;
- what the readers found in a line, or offered in a question, is right where the gold has it;
- signs in the frames of tests/parse/sweep.yaml: denied, doubted, of another time, not examined;
- lines of tests/sweep (every way, other subjects than its test tries).

What the gold leaves open (``may``), what it corrects later, and what it has no words for is left
out.
"""

from __future__ import annotations

import json
import random
import sys
from collections import Counter, defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import yaml

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "fresh"))

from rounds import Narration, Row, read_round
from score import words

from dictate.entail.pairs import UTTERANCES
from dictate.grammar import load_grammar
from dictate.grammar.wording import finding_phrase
from dictate.model import Finding
from dictate.parse.session import parse_session
from dictate.resolve.strange import key_of
from dictate.session import Session
from tests.sweep import lines
from tests.sweep.__main__ import SAMPLE, spread

HERE = Path(__file__).resolve().parent
SEED = 7
#: How much a pair counts, by where it comes from.
WEIGHT = {
    "gold": 1.0,
    "made": 0.5,
    "found": 1.0,
    "offered": 2.0,
    "offered_by_one": 1.0,
    "frame": 0.5,
}
#: Lines of the sweep for each of its ways.
OF_WAY = 25
#: Of a hundred findings of the gold, so many are shown at a line that does not say them.
ELSEWHERE = 35
GRAMMAR = load_grammar()


@dataclass(frozen=True)
class Sample:
    """A line of a narration (from 1), a finding, and whether the one means the other."""

    narration: Narration
    line: int
    row: Row
    right: bool
    source: str
    at: int = 0

    def told(self) -> str | None:
        """As a line of JSON; None where the note has no words for it."""
        phrase = phrase_of(self.row)
        lines = self.narration.lines
        return phrase and json.dumps(
            {
                "before": lines[max(0, self.line - 1 - UTTERANCES) : self.line - 1],
                "text": lines[self.line - 1], "phrase": phrase, "at": self.at,
                "test": self.row[0],
                "value": self.row[3],
                "right": self.right, "weight": WEIGHT[self.source],
            }
        )  # fmt: skip


def phrase_of(row: Row) -> str | None:
    """A finding in the note's words."""
    test, site, side, value = row
    try:
        return finding_phrase(GRAMMAR, Finding(test=test, site=site, side=side, value=value))  # type: ignore[arg-type]
    except (KeyError, StopIteration):
        return None


def of_the_gold(narration: Narration) -> Iterator[Sample]:
    """What the gold has, where it has it."""
    for row, line in narration.find:
        if line:
            yield Sample(narration, line, row, True, "gold")


class Made:
    """Changes the gold's findings into wrong ones."""

    def __init__(self, narrations: Sequence[Narration]) -> None:
        """See which values, sites and tests there are."""
        self._draw = random.Random(SEED)
        self._values: dict[str, Counter[str]] = defaultdict(Counter)
        self._sites: dict[str, set[tuple[str | None, bool]]] = defaultdict(set)
        self._tests: dict[tuple[str | None, str, bool], set[str]] = defaultdict(set)
        for narration in narrations:
            for (test, site, side, value), _ in narration.find:
                self._values[test][value] += 1
                self._sites[test].add((site, side is None))
                self._tests[site, value, side is None].add(test)

    def of(self, narration: Narration) -> Iterator[Sample]:
        """Wrong findings, each beside the line of the one that it was made of."""
        gold = {row for row, _ in narration.find} | set(narration.may)
        for row, line in narration.find:
            if not line:
                continue
            for other in self._others(narration, row, line):
                if other not in gold:
                    yield Sample(narration, line, other, False, "made")
            elsewhere = self._elsewhere(narration, row, line)
            if elsewhere is not None:
                yield Sample(narration, elsewhere, row, False, "made")

    def _others(self, narration: Narration, row: Row, line: int) -> Iterator[Row]:
        test, site, side, value = row
        near = [r for r, at in narration.find if r[0] == test and abs(at - line) <= 1]
        if side is not None:
            flipped = (test, site, "left" if side == "right" else "right", value)
            yield from (flipped, flipped)
        values = sorted(v for v in self._values[test] if v != value)
        nearby = sorted({r[3] for r in near if r[3] != value})
        if values:
            often = [self._values[test][v] ** 0.5 for v in values]
            for other in self._draw.choices(values, often, k=1 if nearby else 2):
                yield test, site, side, other
        if nearby:
            yield test, site, side, self._draw.choice(nearby)
        key = str
        sites = sorted(
            (s for s, none in self._sites[test] if s != site and none == (not side)), key=key
        )
        beside = sorted({r[1] for r in near if r[1] != site and (not r[2]) == (not side)}, key=key)
        if beside and self._draw.random() < 0.6:
            sites = beside
        if sites:
            yield test, self._draw.choice(sites), side, value
        tests = sorted(t for t in self._tests[site, value, side is None] if t != test)
        if tests:
            yield self._draw.choice(tests), site, side, value

    def _elsewhere(self, narration: Narration, row: Row, line: int) -> int | None:
        if self._draw.random() * 100 >= ELSEWHERE:
            return None
        said = [at for other, at in narration.find if other == row]
        far = [
            n
            for n in range(1, len(narration.lines) + 1)
            if not any(n - UTTERANCES - 1 <= at <= n for at in said)
        ]
        return self._draw.choice(far) if far else None


def of_the_readers(narration: Narration, strict: bool = False) -> Iterator[Sample]:
    """What both readers, and each alone, found in each line and offered in questions.

    Args:
        narration: With its gold.
        strict: Only what is of the last line; the gold has words for all of it.
    """
    said: dict[Row, set[int]] = defaultdict(set)
    for row, line in narration.find:
        said[row].add(line)
    held = words()
    later: dict[tuple[str, str | None, str | None], list[int]] = defaultdict(list)
    for row, line in narration.find:
        later[row[:3]].append(line)
    sessions = (Session(GRAMMAR, weighed=False), Session(GRAMMAR, alone=True), parse_session())
    seen: set[tuple[int, Row, str]] = set()
    for number, session in enumerate(sessions):
        for line, utterance in enumerate(narration.utterances, 1):
            heard = session.hear(utterance)
            proposed = [("found", f) for f in heard.added]
            offered = "offered" if number == 0 else "offered_by_one"
            proposed += [
                (offered, f) for q in heard.asked for choice in q.choices for f in choice.findings
            ]
            for source, finding in proposed:
                row = key_of(finding)
                right = row in said
                if (line, row, source) in seen or row in narration.may:
                    continue
                if right and min(said[row]) > line:
                    continue
                if not right and any(at > line for at in later[row[:3]]):
                    continue
                if strict and line < len(narration.lines):
                    continue
                if not right and not strict and held is not None and not held.hold(row):
                    continue
                seen.add((line, row, source))
                at = next((p.start for p in finding.said if p.utterance == utterance.id), 0)
                yield Sample(narration, line, row, right, source, at)


def of_examples() -> Iterator[Sample]:
    """What the grammar's own examples find, what is made of it, and what is asked of the others."""
    told = [
        Narration(
            example.say, "example", (*example.before, example.say),
            tuple((_row(row), 1 + len(example.before)) for row in example.find or ()),
            (), (), frozenset(),
        )
        for area in GRAMMAR.areas
        for example in area.examples
    ]  # fmt: skip
    made = Made(told)
    for one in told:
        # what was found before it stands in the example as well, at another line
        if len(one.lines) == 1:
            yield from of_the_gold(one)
            yield from made.of(one)
        yield from of_the_readers(one, strict=True)


def _row(told: str) -> Row:
    test, site, side, value = told.split(" ", 3)
    return test, None if site == "-" else site, None if side == "-" else side, value


def of_frames() -> Iterator[Sample]:
    """Signs that are denied, doubted, of another time or person, or were not looked for."""
    ways: dict[str, list[str]] = yaml.safe_load(
        (HERE.parent / "parse" / "sweep.yaml").read_text("utf-8")
    )
    for test, spec in GRAMMAR.tests.items():
        if spec.named != "present" or spec.denied != "absent" or not spec.spoken or spec.everyday:
            continue
        for way, frames in ways.items():
            for frame in frames:
                text = frame.format(s=spec.spoken[0])
                text = text[0].upper() + text[1:]
                side = next((s for s in ("right", "left") if f"the {s}" in text), None)
                one = Narration(way, way, (text,), (), (), (), frozenset())
                for value in ("present", "absent", "not_tested"):
                    right = (way == "deny" and value == "absent") or (
                        way == "undone" and value == "not_tested"
                    )
                    yield Sample(one, 1, (test, None, side, value), right, "frame")


def of_sweep() -> Iterator[Sample]:
    """Every way of saying of the sweep, with a few of its subjects that its own test leaves out."""
    for kind in lines.kinds():
        spec = lines.data()["kinds"][kind]
        all_lines = [line for line in lines.lines(kind) if not line.before]
        tried = {line.text for line in spread(all_lines, SAMPLE)}
        of_way: dict[str, list[lines.Line]] = defaultdict(list)
        for line in spread(all_lines, 1.0):
            if line.text not in tried:
                of_way[line.way].append(line)
        for line in (one for way in of_way.values() for one in way[:OF_WAY]):
            one = Narration(kind, kind, (line.text,), (), (), (), frozenset())
            test, site, side, value = line.subject.row
            yield Sample(one, 1, (test, site, side, value), False, "frame")
            if len(line.subject.absent) == 1:
                other = next(iter(line.subject.absent))
                right = spec["expect"] == "denied"
                yield Sample(one, 1, (test, site, side, other), right, "frame")


def main() -> None:
    """Write all pairs, a line each."""
    out, rounds = Path(sys.argv[1]), [read_round(Path(folder)) for folder in sys.argv[2:]]
    made = Made([narration for one in rounds for narration in one])
    count = 0
    with out.open("w", encoding="utf-8") as file:
        for one in rounds:
            for narration in one:
                for sample in (
                    *of_the_gold(narration), *made.of(narration), *of_the_readers(narration)
                ):  # fmt: skip
                    told = sample.told()
                    if told:
                        count += 1
                        file.write(told + "\n")
            print(f"{count} pairs", file=sys.stderr, flush=True)
        for sample in (*of_examples(), *of_frames(), *of_sweep()):
            told = sample.told()
            if told:
                count += 1
                file.write(told + "\n")
    print(f"{count} pairs", file=sys.stderr)


if __name__ == "__main__":
    main()
