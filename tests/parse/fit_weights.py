"""Which weights of the composing reader are worth changing, by cross-validation over narrations.

    python tests/parse/fit_weights.py ROUND-FOLDER ... [--folds 5] [--only NAME ...] [--write]

Not collected by pytest. Every weight is tried a step lower and a step higher, once over all
narrations of the rounds, and what each narration gains by it is kept. A wrong finding costs four
captured ones, a question that is due counts as one, a needless one costs a half. For each fold the
changes that the other folds gain by are taken, and it is printed what the fold itself, which had no
say, gains by them (as if changes added up). --write puts in what every fold chose.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

sys.path[:0] = [str(Path(__file__).resolve().parents[2]), str(Path(__file__).resolve().parent)]

from cases import Case, Score, narrations  # noqa: E402

from dictate.grammar.load import load_grammar  # noqa: E402
from dictate.model import Utterance  # noqa: E402
from dictate.parse import chart  # noqa: E402
from dictate.parse.session import ParseSession  # noqa: E402

#: How much a wrong finding and a needless question cost, in captured findings.
WRONG, NEEDLESS = 4.0, 0.5
#: A step is this share of a weight, and at least so much.
SHARE, LEAST = 0.5, 0.1
#: A change must gain so much on the other folds to be taken: less is chance.
GAIN = 2.0
WEIGHTS = Path(chart.__file__).with_name("weights.yaml")
Change = tuple[str, float]


def worths(cases: list[Case]) -> list[float]:
    """What the weights as they stand make of each case."""
    grammar = load_grammar()
    out = []
    for case in cases:
        session, score = ParseSession(grammar), Score()
        for i, text in enumerate(case.texts, 1):
            session.take(Utterance(f"u{i}", text))
        score.add(case, session.record())
        c = score.count
        out.append(c["captured"] + c["asked"] - WRONG * c["silent"] - NEEDLESS * c["needless"])
    return out


def gains(cases: list[Case], only: list[str]) -> dict[Change, list[float]]:
    """What each case gains by each change of one weight."""
    weights = chart.weights()
    base = worths(cases)
    print(f"before: {sum(base):.1f} of {len(cases)} narrations", flush=True)
    out: dict[Change, list[float]] = {}
    for name in only or list(weights):
        old = weights[name]
        step = max(LEAST, SHARE * old)
        for new in {round(max(0.0, old - step), 3), round(old + step, 3)} - {old}:
            weights[name] = new
            out[name, new] = [b - a for a, b in zip(base, worths(cases), strict=True)]
            weights[name] = old
            if sum(out[name, new]) > 0:
                print(f"{name}: {old} -> {new}  {sum(out[name, new]):+.1f}", flush=True)
    return out


def chosen(found: dict[Change, list[float]], of: list[int]) -> dict[str, float]:
    """The best change of each weight that these cases gain by."""
    best: dict[str, tuple[float, float]] = {}
    for (name, new), row in found.items():
        gain = sum(row[i] for i in of)
        if gain >= GAIN and gain > best.get(name, (0.0, 0.0))[0]:
            best[name] = gain, new
    return {name: new for name, (_, new) in best.items()}


def _line(line: str, agreed: dict[str, float]) -> str:
    name = line.split(":")[0]
    return f"{name}: {agreed[name]}" if name in agreed else line


def main() -> None:
    """Try every weight, print what is gained on cases that had no say, and write what all chose."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("rounds", nargs="+", type=Path)
    parser.add_argument("--folds", type=int, default=5)
    parser.add_argument("--only", nargs="*", default=[], help="weights to try, by name")
    parser.add_argument("--write", action="store_true")
    asked = parser.parse_args()
    cases = [case for folder in asked.rounds for case in narrations(folder)]
    found = gains(cases, asked.only)
    picks, held_out = [], 0.0
    for fold in range(asked.folds):
        others = [i for i in range(len(cases)) if i % asked.folds != fold]
        picks.append(chosen(found, others))
        rows = [found[change] for change in picks[-1].items()]
        gain = sum(row[i] for row in rows for i in range(fold, len(cases), asked.folds))
        held_out += gain
        print(f"fold {fold + 1}: {picks[-1]}  held out {gain:+.1f}")
    print(f"all folds, held out: {held_out:+.1f}")
    agreed = {n: v for n, v in picks[0].items() if all(p.get(n) == v for p in picks)}
    print(f"chosen by every fold: {agreed}")
    if asked.write:
        text = WEIGHTS.read_text("utf-8").splitlines()
        new = [_line(line, agreed) for line in text]
        WEIGHTS.write_text("\n".join(new) + "\n", "utf-8")


if __name__ == "__main__":
    main()
