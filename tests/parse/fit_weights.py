"""Fit the weights of the composing reader to cases, and say what each change brings.

    python tests/parse/fit_weights.py [ROUND-FOLDER ...] [--passes 1] [--write]

Not collected by pytest. A wrong finding costs four captured ones, a needless question a half. Each
weight is tried a step lower and higher, on a half of the cases; a change is kept where the other
half does not lose by it. Prints the weights that changed; --write puts them into weights.yaml.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parents[2]), str(Path(__file__).resolve().parent)]

from cases import Case, Score, examples, narrations, statements  # noqa: E402

from dictate.grammar.load import load_grammar  # noqa: E402
from dictate.model import Utterance  # noqa: E402
from dictate.parse import chart  # noqa: E402
from dictate.parse.session import ParseSession  # noqa: E402

#: How much a wrong finding and a needless question cost, in captured findings.
WRONG, NEEDLESS = 4.0, 0.5
STEPS = (-0.2, 0.2)
WEIGHTS = Path(chart.__file__).with_name("weights.yaml")


def worth(cases: list[Case]) -> float:
    """What the weights as they stand make of some cases."""
    score = Score()
    for case in cases:
        session = ParseSession()
        for i, text in enumerate(case.texts, 1):
            session.take(Utterance(f"u{i}", text))
        score.add(case, session.record())
    c = score.count
    return c["captured"] + c["asked"] - WRONG * c["silent"] - NEEDLESS * c["needless"]


def main() -> None:
    """Try every weight, keep what helps, print it."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("rounds", nargs="*", type=Path)
    parser.add_argument("--passes", type=int, default=1)
    parser.add_argument("--write", action="store_true")
    asked = parser.parse_args()
    grammar = load_grammar()
    cases = [*statements(), *(c for folder in asked.rounds for c in narrations(folder))]
    cases += list(examples(grammar))[::3]
    halves = cases[::2], cases[1::2]
    weights = chart.weights()
    best = [worth(half) for half in halves]
    print("before:", best, flush=True)
    for _ in range(asked.passes):
        for name in list(weights):
            for step in STEPS:
                old = weights[name]
                weights[name] = round(max(0.0, old + step), 3)
                first = worth(halves[0])
                now = [first, worth(halves[1])] if first > best[0] else [first, best[1]]
                if (
                    sum(now) > sum(best) + 1
                    and min(n - b for n, b in zip(now, best, strict=True)) >= 0
                ):
                    best = now
                    print(f"{name}: {old} -> {weights[name]}  {best}", flush=True)
                    break
                weights[name] = old
    if asked.write:
        lines = [line for line in WEIGHTS.read_text("utf-8").splitlines() if line.startswith("#")]
        body = [f"{name}: {value}" for name, value in weights.items()]
        WEIGHTS.write_text("\n".join([*lines[:1], *body]) + "\n", "utf-8")


if __name__ == "__main__":
    main()
