"""Make lines with their findings of the fresh rounds, for ``dictate teach-retelling``.

    PYTHONPATH=. python tests/retell/samples.py OUT ROUND_FOLDER ... [--talk FILE ...]

- each line of a round with the findings that its gold has for it, after the six lines before it; a
  line of which something was taken back or changed later is left out, since the gold no longer has
  it;
- some lines joined with the next;
- the same with other muscles, reflexes and regions of the grammar in their place;
- the grammar's own examples;
- the frames of denial, doubt and other times, and the lines of the sweep (``tests/entail``);
- lines of talk, which mean nothing.
"""

from __future__ import annotations

import argparse
import json
import random
import re
import sys
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "fresh"))
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "entail"))

from rounds import Narration, Row, read_round, row_of
from samples import of_frames, of_sweep
from score import words

from dictate.grammar import load_grammar
from dictate.parse.session import parse_session
from dictate.retell.lines import CONTEXT
from dictate.teach.sentences import talk_of

GRAMMAR = load_grammar()
DRAW = random.Random(11)
#: Of a hundred lines, so many are joined with the next; none longer than so many letters.
JOINED, LONG = 18, 420
#: Of a hundred sites, so many are changed for another; and lines of frames and talk that are taken.
CHANGED, FRAMES, TALK = 70, 3500, 1000
#: How much a line counts, by where it comes from.
GOLD, EXAMPLE, MADE, FRAME = 1.0, 0.7, 0.5, 0.3


@dataclass(frozen=True)
class Sample:
    """A line, those before it, and its findings."""

    before: tuple[str, ...]
    text: str
    rows: tuple[Row, ...]
    ask: bool = False
    weight: float = GOLD

    def told(self) -> str:
        """As a line of JSON."""
        return json.dumps(
            {
                "before": self.before, "text": self.text, "rows": self.rows, "ask": self.ask,
                "weight": self.weight,
            }
        )  # fmt: skip


def taken_back(narration: Narration) -> set[tuple[int, Row]]:
    """What a reader finds in a line (from 1) and no longer has later."""
    session = parse_session()
    first: dict[Row, int] = {}
    gone, before = set[tuple[int, Row]](), set[Row]()
    for number, utterance in enumerate(narration.utterances, 1):
        session.take(utterance)
        now = {row_of(finding) for finding in session.record().findings}
        for row in now - before:
            first.setdefault(row, number)
        gone |= {(first[row], row) for row in before - now}
        before = now
    return gone


def of_round(narration: Narration) -> Iterator[Sample]:
    """Its lines, and some of them joined."""
    by_line: dict[int, list[Row]] = defaultdict(list)
    for row, line in narration.find:
        by_line[line].append(row)
    asked, lines = {line for _, line in narration.ask}, narration.lines
    right = {row for row, _ in narration.find} | set(narration.may)
    left_out = {line for line, row in taken_back(narration) if row not in right}

    def sample(first: int, last: int) -> Sample:
        rows = [row for line in range(first, last + 1) for row in by_line[line]]
        before = lines[max(0, first - 1 - CONTEXT) : first - 1]
        ask = any(line in asked for line in range(first, last + 1))
        return Sample(before, " ".join(lines[first - 1 : last]), tuple(rows), ask)

    for line in range(1, len(lines) + 1):
        if line in left_out:
            continue
        yield sample(line, line)
        both = sample(line, line + 1) if line < len(lines) and line + 1 not in left_out else None
        if both and len(both.text) <= LONG and DRAW.random() * 100 < JOINED:
            yield replace(both, weight=EXAMPLE)


class Elsewhere:
    """The same said of other sites of the same kind."""

    def __init__(self) -> None:
        """See which sites there are, and how they are called in one way alone."""
        held = words()
        self._spoken: dict[str, dict[str, list[str]]] = {}
        self._called: dict[str, dict[str, set[str]]] = {}
        self._group = {
            name: test.sites
            for name, test in GRAMMAR.tests.items()
            if isinstance(test.sites, str) and test.sites in GRAMMAR.groups
        }
        for test, group in self._group.items():
            if held is None or test not in held.sites or group in self._spoken:
                continue
            sites = {
                site: [w for w in spec.spoken if re.fullmatch(r"[A-Za-z][A-Za-z \-]+", w)][:6]
                for site, spec in GRAMMAR.groups[group].sites.items()
                if site in held.sites[test] and not spec.pattern and site != "all"
            }
            self._spoken[group] = {site: said for site, said in sites.items() if said}
            called: dict[str, set[str]] = defaultdict(set)
            for site, said in self._spoken[group].items():
                for word in said:
                    called[word.casefold()].add(site)
            self._called[group] = called

    def of(self, sample: Sample) -> Sample | None:
        """A line with some of its sites changed; None where none can be."""
        text, moved = sample.text, dict[tuple[str, str], str]()
        for group in sorted({self._group[r[0]] for r in sample.rows if r[0] in self._group}):
            if group not in self._spoken or sample.ask:
                continue
            mine = {r[1] for r in sample.rows if self._group.get(r[0]) == group}
            others = [site for site in self._spoken[group] if site not in mine]
            DRAW.shuffle(others)
            for site in sorted(filter(None, mine)):
                ways = [w for w, sites in self._called[group].items() if sites == {site}]
                if not ways or not others or DRAW.random() * 100 >= CHANGED:
                    continue
                new = others.pop()
                said = "|".join(map(re.escape, sorted(ways, key=len)[::-1]))
                other = DRAW.choice(self._spoken[group][new])
                text, times = re.subn(rf"(?<!\w)(?:{said})(?!\w)", other, text, flags=re.I)
                if times:
                    moved[group, site] = new
        if not moved:
            return None
        rows = tuple(
            (test, moved.get((self._group.get(test, ""), site or ""), site), side, value)
            for test, site, side, value in sample.rows
        )
        return replace(sample, text=text, rows=rows, weight=sample.weight * MADE)


def of_examples() -> Iterator[Sample]:
    """The grammar's own examples that stand alone."""
    for area in GRAMMAR.areas:
        for one in area.examples:
            if not one.before:
                rows = [row.split(" ", 3) for row in one.find or ()]
                found = tuple(
                    (test, None if site == "-" else site, None if side == "-" else side, value)
                    for test, site, side, value in rows
                )
                yield Sample((), one.say, found, bool(one.ask), EXAMPLE)


def of_ways() -> Iterator[Sample]:
    """Frames and sweep: what each line means, one finding at most."""
    rows: dict[str, list[Row]] = defaultdict(list)
    for one in (*of_sweep(), *of_frames()):
        rows[one.narration.lines[0]] += [one.row] if one.right else []
    fit = [(text, found) for text, found in rows.items() if len(found) <= 1]
    for text, found in DRAW.sample(fit, min(FRAMES, len(fit))):
        yield Sample((), text, tuple(found), weight=FRAME)


def main() -> None:
    """Write all lines."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("out", type=Path)
    parser.add_argument("rounds", type=Path, nargs="+")
    parser.add_argument("--talk", type=Path, nargs="*", default=[], help="texts of ordinary talk")
    args = parser.parse_args()
    lines = [
        sample
        for folder in args.rounds
        for narration in read_round(folder)
        for sample in of_round(narration)
    ]
    lines += of_examples()
    elsewhere = Elsewhere()
    lines += [other for other in map(elsewhere.of, list(lines)) if other is not None]
    lines += of_ways()
    talk = [said for file in args.talk for said in talk_of(file)]
    lines += [
        Sample((), said, (), weight=FRAME) for said in DRAW.sample(talk, min(TALK, len(talk)))
    ]
    args.out.write_text("".join(line.told() + "\n" for line in lines), "utf-8")
    print(f"{len(lines)} lines, {sum(len(line.rows) for line in lines)} findings", file=sys.stderr)


if __name__ == "__main__":
    main()
