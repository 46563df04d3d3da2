"""The two readers side by side: what each makes of every case at hand, and where they differ.

    python tests/parse/compare_readers.py [ROUND-FOLDER ...] [--list SUITE]

Not collected by pytest. Prints a line for each suite and reader, what both say and what either
says; --list prints the cases of one suite whose records differ.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter, defaultdict
from collections.abc import Iterator
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parents[2]), str(Path(__file__).resolve().parent)]

from cases import Case, Row, Score, contract, examples, narrations, statements  # noqa: E402

from dictate.grammar.load import load_grammar  # noqa: E402
from dictate.model import Record, Utterance  # noqa: E402
from dictate.parse.session import ParseSession  # noqa: E402
from dictate.session import Session  # noqa: E402


def record_of(reader: type[Session] | type[ParseSession], case: Case) -> Record:
    """The record that a reader makes of a case."""
    session = reader(load_grammar())
    for i, text in enumerate(case.texts, 1):
        session.take(Utterance(f"u{i}", text))
    return session.record()


def rows(record: Record) -> Counter[Row]:
    """The findings of a record as cases write them."""
    return Counter((f.test, f.site or "-", f.side or "-", f.value) for f in record.findings)


def all_cases(rounds: list[Path]) -> Iterator[Case]:
    """Every case at hand."""
    yield from contract()
    yield from examples(load_grammar())
    yield from statements()
    for folder in rounds:
        yield from narrations(folder)


def main() -> None:
    """Score both readers on every suite."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("rounds", nargs="*", type=Path)
    parser.add_argument("--list", metavar="SUITE")
    asked = parser.parse_args()
    scores: dict[tuple[str, str], Score] = defaultdict(Score)
    joint: dict[str, Counter[str]] = defaultdict(Counter)
    spent: Counter[str] = Counter()
    for case in all_cases(asked.rounds):
        found = {}
        for name, reader in (("old", Session), ("new", ParseSession)):
            begin = time.process_time()
            record = record_of(reader, case)
            spent[name] += int(1e6 * (time.process_time() - begin))
            spent[f"{name} utterances"] += len(case.texts)
            scores[case.suite, name].add(case, record)
            found[name] = rows(record)
        wanted, may = Counter(case.finds), Counter(case.may)
        for name, both in (
            ("both", found["old"] & found["new"]),
            ("either", found["old"] | found["new"]),
        ):
            joint[case.suite][f"{name} captured"] += (both & wanted).total()
            joint[case.suite][f"{name} wrong"] += ((both - wanted) - may).total()
        if asked.list == case.suite and found["old"] != found["new"]:
            print(" / ".join(case.texts), *(f"\n  {k} {sorted(v)}" for k, v in found.items()))
    for (suite, name), score in scores.items():
        print(f"{suite:12} {name}: {score.line()}")
    for suite, count in joint.items():
        print(f"{suite:12} {', '.join(f'{k} {v}' for k, v in count.items())}")
    for name in ("old", "new"):
        speed = 1e6 * spent[f"{name} utterances"] / max(1, spent[name])
        print(f"{name}: {speed:.0f} utterances a second")


if __name__ == "__main__":
    main()
