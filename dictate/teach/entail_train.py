"""Teaches the network that weighs pairs: judged pairs in, weights out."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np

from dictate.entail.pairs import LONGEST, Pair, PairTokens, mirrored
from dictate.teach.adam import stepped
from dictate.teach.entail_network import Array, Params, begin, weigh

Tell = Callable[[str], None]
Table = np.ndarray[Any, Any]
#: Lengths that batches are filled up to: each is compiled once.
_SHAPES = (72, 112, LONGEST)
#: Batches that are sorted by length together.
_SORTED = 24
#: How often a pair is shown as it is, without marks, mirrored, both, and each without what came
#: before: a mirrored utterance means the mirrored finding.
_SHOWN = (0.30, 0.20, 0.20, 0.15, 0.05, 0.04, 0.03, 0.03)
_MARKS = re.compile(r"[.,;:!?](?!\d)")


@dataclass(frozen=True, slots=True)
class Judged:
    """A pair, whether the utterance means the finding, how much it counts, its test and value."""

    pair: Pair
    right: bool
    weight: float = 1.0
    of: tuple[str, str] = ("", "")


@dataclass(frozen=True, slots=True)
class Settings:
    """How it is taught: layers, times that all pairs are shown, pairs at once, rate, decay."""

    layers: int = 6
    turns: float = 14.0
    batch: int = 256
    rate: float = 1e-4
    decay: float = 0.01
    seed: int = 0


def shown(pair: Pair, way: int) -> Pair:
    """A pair as it is shown in one of eight ways.

    Args:
        pair: As it was said.
        way: Its bits: 1 without marks, 2 mirrored, 4 without what came before.
    """
    if way & 2:
        pair = mirrored(pair)
    if way & 1:
        before = tuple(map(without_marks, pair.before))
        pair = replace(pair, before=before, text=without_marks(pair.text))
    return replace(pair, before=()) if way & 4 else pair


def without_marks(text: str) -> str:
    """As a recogniser would write it: no commas and stops."""
    return _MARKS.sub("", text)


def teach(
    base: Mapping[str, Table],
    vocabulary: Path,
    judged: Sequence[Judged],
    settings: Settings,
    tell: Tell = lambda sentence: None,
    taught: Mapping[str, Table] | None = None,
) -> dict[str, Table]:
    """Teach the network.

    Args:
        base: The open weights by name, cut to the vocabulary.
        vocabulary: ``tokenizer.json``.
        judged: What it learns from.
        settings: How.
        tell: Called with a sentence now and then.
        taught: Weights that are taught on, as this function gave them; None for the open ones.

    Returns:
        The weights by name, ``head.weight`` and ``head.bias`` among them.
    """
    cut = PairTokens(vocabulary)
    params: Params = (
        {name: jnp.asarray(tensor, jnp.float32) for name, tensor in taught.items()}
        if taught
        else begin(base, settings.layers, settings.seed)
    )
    steps = int(settings.turns * len(judged) / settings.batch)
    right = np.array([one.right for one in judged], np.float32)
    weight = np.array([one.weight for one in judged], np.float32)
    step = _step(settings, steps)
    moments = (jax.tree.map(jnp.zeros_like, params), jax.tree.map(jnp.zeros_like, params))
    # this kind of key draws many times faster where there is a graphics processor
    key = jax.random.key(settings.seed, impl="rbg")
    for number, (rows, ids, types) in enumerate(_batches(cut, judged, settings, steps)):
        params, *moments, loss = step(
            params, *moments, jnp.float32(number), jax.random.fold_in(key, number),
            ids, types, right[rows], weight[rows],
        )  # fmt: skip
        if number % 500 == 0 or number == steps - 1:
            tell(f"step {number} of {steps}: {float(loss):.4f}")
    return {name: np.asarray(tensor) for name, tensor in params.items()}


def weigh_all(
    params: Mapping[str, Table], vocabulary: Path, pairs: Sequence[Pair], batch: int = 512
) -> list[float]:
    """What the taught weights say of pairs, in exact numbers."""
    cut, found = PairTokens(vocabulary).of(pairs), list[float]()
    one = jax.jit(weigh)
    held: Params = {name: jnp.asarray(tensor, jnp.float32) for name, tensor in params.items()}
    for first in range(0, len(cut), batch):
        part = cut[first : first + batch]
        ids, types = _filled(part, batch, LONGEST)
        found += map(float, one(held, ids, types)[: len(part)])
    return found


def _step(settings: Settings, steps: int) -> Any:
    # half as many digits are twice as fast on a graphics processor, and slower on another
    exact = jnp.float32 if jax.default_backend() == "cpu" else jnp.bfloat16

    def loss(params: Params, key: Array, ids: Array, types: Array, y: Array, w: Array) -> Array:
        z = weigh(params, ids, types, key, exact=exact)
        return (w * (jnp.logaddexp(0, z) - y * z)).sum() / w.sum()

    @partial(jax.jit, donate_argnums=(0, 1, 2))  # what is learned is kept once, not twice
    def step(
        params: Params, first: Params, second: Params, number: Array, key: Array,
        ids: Array, types: Array, y: Array, w: Array,
    ) -> Any:  # fmt: skip
        value, slope = jax.value_and_grad(loss)(params, key, ids, types, y, w)
        warm = 0.06 * steps
        rate = settings.rate * jnp.minimum(1.0, (number + 1) / warm)
        rate = rate * jnp.minimum(1.0, (steps - number) / (steps - warm))
        moved = stepped(params, slope, first, second, number, rate, settings.decay)
        return *moved, value

    return step


def _batches(
    cut: PairTokens, judged: Sequence[Judged], settings: Settings, steps: int
) -> Iterator[tuple[Table, Table, Table]]:
    """Which pairs are learned from next, and their tokens; of one length as far as may be."""
    draw = np.random.default_rng(settings.seed)
    ways = [cut.of([shown(one.pair, way) for one in judged]) for way in range(len(_SHOWN))]
    size, done = settings.batch, 0
    while done < steps:
        way = draw.choice(len(_SHOWN), len(judged), p=_SHOWN)
        long = np.array([len(ways[w][i].ids) for i, w in enumerate(way)])
        order = draw.permutation(len(judged))
        batches = []
        for first in range(0, len(order), size * _SORTED):
            chunk = order[first : first + size * _SORTED]
            chunk = chunk[np.argsort(long[chunk], kind="stable")]
            batches += [chunk[at : at + size] for at in range(0, len(chunk), size)]
        for at in draw.permutation(len(batches))[: steps - done]:
            rows = batches[at]
            wide = next(shape for shape in _SHAPES if shape >= long[rows].max())
            rows = np.resize(rows, size)  # always one shape, so one compilation
            ids, types = _filled([ways[way[i]][i] for i in rows], size, wide)
            yield rows, ids, types
            done += 1


def _filled(cut: Sequence[Any], rows: int, wide: int) -> tuple[Table, Table]:
    ids, types = np.zeros((rows, wide), np.int32), np.zeros((rows, wide), np.int32)
    for row, tokens in enumerate(cut):
        ids[row, : len(tokens.ids)] = tokens.ids
        types[row, : len(tokens.types)] = tokens.types
    return ids, types
