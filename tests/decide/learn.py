"""Fit the model that decides between recording and asking, and print its curve.

    PYTHONPATH=. python tests/decide/learn.py [--rounds FOLDER ...] [--write] [--words]

Every proposal of the development texts (proposals.py) is right or wrong by its gold. A logistic
model of the risk is fitted whose weights are 0 or more, so that what speaks against a statement
never speaks for it. The curve is cross-validated: each narration is judged by a model that has not
seen it. ``--write`` puts the weights into grammars/common/deciding.yaml; the risk that may be run
stays as it stands there. ``--words`` prints words that stood in right proposals and in no wrong
one, for a person to choose from for grammars/common/harmless.yaml.
"""

from __future__ import annotations

import argparse
import zlib
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import yaml
from proposals import Judged, all_judged

from dictate.decide.features import NAMES

FILE = Path(__file__).resolve().parents[2] / "grammars" / "common" / "deciding.yaml"
FOLDS = 5
#: How hard weights are held near 0, how long is fitted, and how fast.
HOLD, STEPS, RATE = 1e-3, 4000, 0.3
#: A word that nobody understands makes a question (the contract): such a weight is at least this.
#: So does a denial of a word that the test does not take.
AT_LEAST = {"strange_inside": 6.0, "strange_beside": 6.0, "odd_denied": 6.0}
#: Risks at which the curve is printed, in 100.
POINTS = (0.1, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 3.0, 5.0, 10.0, 25.0, 50.0, 100.0)


def fit(x: np.ndarray, y: np.ndarray) -> tuple[float, np.ndarray]:
    """The base and the weights: projected gradient descent on the logistic loss."""
    floor = np.array([AT_LEAST.get(name, 0.0) for name in NAMES])
    base, weights = -4.0, floor.copy()
    for _ in range(STEPS):
        risk = 1 / (1 + np.exp(-(base + x @ weights)))
        wrong = risk - y
        base -= RATE * float(wrong.mean()) * 10
        weights = np.maximum(floor, weights - RATE * (10 * x.T @ wrong / len(y) + HOLD * weights))
    return base, weights


def table(judged: Sequence[Judged]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Features, whether wrong, and the fold of each proposal."""
    x = np.array([[one.features[name] for name in NAMES] for one in judged])
    y = np.array([float(one.wrong) for one in judged])
    folds = np.array([zlib.crc32(f"{one.source}{one.text}".encode()) % FOLDS for one in judged])
    return x, y, folds


def crossed(x: np.ndarray, y: np.ndarray, folds: np.ndarray) -> np.ndarray:
    """The risk of each proposal by a model fitted on the other folds."""
    risk = np.zeros(len(y))
    for fold in range(FOLDS):
        base, weights = fit(x[folds != fold], y[folds != fold])
        inside = folds == fold
        risk[inside] = 1 / (1 + np.exp(-(base + x[inside] @ weights)))
    return risk


def curve(risk: np.ndarray, y: np.ndarray) -> list[tuple[float, float, float]]:
    """For each risk that may be run: silent errors and questions in a hundred proposals."""
    rows = []
    for point in POINTS:
        kept = risk <= point / 100
        rows.append((point, 100 * float(y[kept].sum()) / len(y), 100 * float((~kept).mean())))
    return rows


def words(judged: Sequence[Judged]) -> list[tuple[str, int]]:
    """Words left over in right proposals and in no wrong one, the most frequent first."""
    right, wrong = Counter[str](), Counter[str]()
    for one in judged:
        found = {word for word, kind, where in one.left if kind == "strange" and where != "joined"}
        (wrong if one.wrong else right).update(found)
    return [(word, n) for word, n in right.most_common() if word not in wrong]


def main() -> None:
    """Fit and print."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", 1)[0])
    parser.add_argument("--rounds", nargs="*", type=Path, default=[], help="folders of rounds")
    parser.add_argument("--write", action="store_true", help="write the weights")
    parser.add_argument("--words", action="store_true", help="print words that seem harmless")
    args = parser.parse_args()
    judged = all_judged(args.rounds)
    if args.words:
        print(", ".join(word for word, _ in words(judged)))
        return
    x, y, folds = table(judged)
    base, weights = fit(x, y)
    print(f"{len(y)} proposals, {int(y.sum())} wrong; base {base:.2f}")
    for name, weight, column in zip(NAMES, weights, x.T, strict=True):
        seen = int((column > 0).sum())
        print(f"{name:16}{weight:7.2f}   in {seen} proposals, {int(y[column > 0].sum())} wrong")
    fresh = np.array([one.source not in ("passages", "statements", "examples") for one in judged])
    risk = crossed(x, y, folds)
    print("risk, 100th   all: silent  asked, of 100   fresh rounds: silent  asked, of 100")
    for here, there in zip(curve(risk, y), curve(risk[fresh], y[fresh]), strict=True):
        print(f"{here[0]:11.2f}{here[1]:14.2f}{here[2]:7.1f}{there[1]:33.2f}{there[2]:7.1f}")
    if args.write:
        _write(base, weights)


def _write(base: float, weights: np.ndarray) -> None:
    text = FILE.read_text("utf-8")
    head = text[: text.index("base:")]
    found = {n: round(float(w), 2) for n, w in zip(NAMES, weights, strict=True) if w >= 0.01}
    body = yaml.safe_dump({"base": round(base, 2), "weights": found}, sort_keys=False)
    FILE.write_text(head + body, "utf-8")


if __name__ == "__main__":
    main()
