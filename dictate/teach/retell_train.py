"""Teaches the network that retells: lines with their findings in, weights out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np

from dictate.retell.lines import LONGEST, Line, LineTokens, straight, turned
from dictate.retell.words import BEGIN, END, Row, told
from dictate.teach.adam import stepped
from dictate.teach.entail_network import Array, Params
from dictate.teach.entail_train import without_marks
from dictate.teach.retell_network import MOST, begin, retell

Tell = Callable[[str], None]
Table = np.ndarray[Any, Any]
#: Lengths of lines and of what is told that batches are filled up to: each is compiled once.
_SHAPES = ((112, 40), (184, 88), (LONGEST, MOST))
#: Batches that are sorted by length together.
_SORTED = 24
#: How often a line is shown without marks, and without what came before.
_NO_MARKS, _NO_BEFORE = 0.3, 0.12


@dataclass(frozen=True, slots=True)
class Known:
    """A line, the findings that it gives, whether it is to be asked about, how much it counts."""

    line: Line
    rows: tuple[Row, ...]
    ask: bool = False
    weight: float = 1.0


@dataclass(frozen=True, slots=True)
class Settings:
    """How it is taught: layers of the decoder, times that all lines are shown, lines at once, rate
    of the encoder and of the decoder, decay."""

    layers: int = 3
    turns: float = 25.0
    batch: int = 128
    rate: float = 1.4e-4
    decoder_rate: float = 5.6e-4
    decay: float = 0.01
    seed: int = 0


def teach(
    encoder: Mapping[str, Table],
    vocabulary: Path,
    words: Sequence[str],
    whole: Sequence[str],
    known: Sequence[Known],
    settings: Settings,
    tell: Tell = lambda sentence: None,
) -> dict[str, Table]:
    """Teach the network.

    Args:
        encoder: Weights of the encoder by name, with ``LONGEST`` positions.
        vocabulary: ``tokenizer.json``.
        words: All that it retells in; the first fills up.
        whole: Values that are words of their own.
        known: What it learns from.
        settings: How.
        tell: Called with a sentence now and then.

    Returns:
        The weights by name.
    """
    held: Params = {name: jnp.asarray(table, jnp.float32) for name, table in encoder.items()}
    params = begin(held, len(words), settings.layers, settings.seed)
    steps = int(settings.turns * len(known) / settings.batch)
    step = _step(settings, steps)
    moments = (jax.tree.map(jnp.zeros_like, params), jax.tree.map(jnp.zeros_like, params))
    key = jax.random.key(settings.seed, impl="rbg")
    batches = _batches(Cut(vocabulary, words, whole), known, settings, steps)
    for number, (ids, out, weight) in enumerate(batches):
        params, *moments, loss = step(
            params, *moments, jnp.float32(number), jax.random.fold_in(key, number), ids, out, weight
        )
        if number % 500 == 0 or number == steps - 1:
            tell(f"step {number} of {steps}: {float(loss):.4f}")
    return {name: np.asarray(table) for name, table in params.items()}


def _step(settings: Settings, steps: int) -> Any:
    exact = jnp.float32 if jax.default_backend() == "cpu" else jnp.bfloat16
    faster = settings.decoder_rate / settings.rate

    def loss(params: Params, key: Array, ids: Array, out: Array, weight: Array) -> Array:
        scores = retell(params, ids, out[:, :-1], key, exact=exact)
        right = out[:, 1:]
        sure = jnp.take_along_axis(jax.nn.log_softmax(scores, -1), right[..., None], -1)[..., 0]
        counts = (right != 0) * weight[:, None]
        return -(sure * counts).sum() / counts.sum()

    @partial(jax.jit, donate_argnums=(0, 1, 2))  # what is learned is kept once, not twice
    def step(
        params: Params, first: Params, second: Params, number: Array, key: Array,
        ids: Array, out: Array, weight: Array,
    ) -> Any:  # fmt: skip
        value, slope = jax.value_and_grad(loss)(params, key, ids, out, weight)
        warm = 0.06 * steps
        rate = settings.rate * jnp.minimum(1.0, (number + 1) / warm)
        rate = rate * jnp.minimum(1.0, (steps - number) / (steps - warm))
        moved, first, second = stepped(params, slope, first, second, number, rate, settings.decay)
        # what knew nothing goes further at each step
        moved = {
            name: params[name] + faster * (new - params[name])
            if name.startswith("decoder.")
            else new
            for name, new in moved.items()
        }
        return moved, first, second, value

    return step


class Cut:
    """A line as numbers."""

    def __init__(self, vocabulary: Path, words: Sequence[str], whole: Sequence[str]) -> None:
        """Read the vocabulary; the words are those that lines are retold in."""
        self._tokens, self._whole = LineTokens(vocabulary), whole
        self._pieces = self._tokens.numbers()
        self._words = {word: number for number, word in enumerate(words)}

    def of(self, known: Sequence[Known]) -> list[tuple[list[int], list[int]] | None]:
        """Tokens of each line, and the numbers of the words it is retold in; None: too long."""
        seen = [straight(one.line) for one in known]
        cut = self._tokens.of([line for line, _ in seen])
        found = list[tuple[list[int], list[int]] | None]()
        for one, (_, mirrored), pieces in zip(known, seen, cut, strict=True):
            rows = [turned(row) for row in one.rows] if mirrored else list(one.rows)
            words = [BEGIN, *told(rows, one.ask, self._whole), END]
            if pieces is None or len(words) > MOST or any(w not in self._words for w in words):
                found.append(None)
            else:
                found.append(([self._pieces[p] for p in pieces], [self._words[w] for w in words]))
        return found


def shown(known: Known, marks: bool, before: bool) -> Known:
    """A line as it is shown: with or without marks and what came before it."""
    line = known.line
    if not marks:
        line = Line(tuple(map(without_marks, line.before)), without_marks(line.text))
    return replace(known, line=line if before else replace(line, before=()))


def _batches(
    cut: Cut, known: Sequence[Known], settings: Settings, steps: int
) -> Iterator[tuple[Table, Table, Table]]:
    """What is learned from next; of one length as far as may be."""
    draw = np.random.default_rng(settings.seed)
    ways = [cut.of([shown(k, m, b) for k in known]) for m in (True, False) for b in (True, False)]
    size, done = settings.batch, 0
    while done < steps:
        way = 2 * (draw.random(len(known)) < _NO_MARKS) + (draw.random(len(known)) < _NO_BEFORE)
        lines = [(ways[w][i], known[i].weight) for i, w in enumerate(way)]
        good = [(one, weight) for one, weight in lines if one is not None]
        long = np.array([max(len(one[0]), 1.5 * len(one[1])) for one, _ in good])
        order = draw.permutation(len(good))
        batches = []
        for first in range(0, len(order), size * _SORTED):
            chunk = order[first : first + size * _SORTED]
            chunk = chunk[np.argsort(long[chunk], kind="stable")]
            batches += [chunk[at : at + size] for at in range(0, len(chunk), size)]
        for at in draw.permutation(len(batches))[: steps - done]:
            rows = np.resize(batches[at], size)  # always one shape, so one compilation
            yield _filled([good[row] for row in rows])
            done += 1


def _filled(
    rows: Sequence[tuple[tuple[list[int], list[int]], float]],
) -> tuple[Table, Table, Table]:
    longest = [max(len(one[part]) for one, _ in rows) for part in (0, 1)]
    wide, far = next(s for s in _SHAPES if s[0] >= longest[0] and s[1] >= longest[1])
    ids, out = np.zeros((len(rows), wide), np.int32), np.zeros((len(rows), far), np.int32)
    for number, ((line, words), _) in enumerate(rows):
        ids[number, : len(line)], out[number, : len(words)] = line, words
    return ids, out, np.array([weight for _, weight in rows], np.float32)
