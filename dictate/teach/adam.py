"""One step of learning: Adam with decay (Kingma and Ba 2015, arXiv:1412.6980; Loshchilov and
Hutter 2019, arXiv:1711.05101), of a slope that is no longer than one."""

from __future__ import annotations

from typing import Any

import jax
import jax.numpy as jnp

Array = Any


def stepped(
    params: Any, slope: Any, first: Any, second: Any, number: Array, rate: Array, decay: float
) -> tuple[Any, Any, Any]:
    """Move what is learned by one step.

    Args:
        params: What is learned: arrays in any nesting.
        slope: Of the loss, nested alike.
        first: The mean of the slopes so far, nested alike; zeros to begin with.
        second: The mean of their squares.
        number: Of the step, from 0.
        rate: How far it goes.
        decay: How much of each number is taken away, times the rate.

    Returns:
        What is learned and both means after the step.
    """
    size = jnp.sqrt(sum((s**2).sum() for s in jax.tree.leaves(slope)))
    slope = jax.tree.map(lambda s: s * jnp.minimum(1.0, 1.0 / (size + 1e-6)), slope)
    first = jax.tree.map(lambda m, s: 0.9 * m + 0.1 * s, first, slope)
    second = jax.tree.map(lambda v, s: 0.999 * v + 0.001 * s**2, second, slope)

    def moved(p: Array, m: Array, v: Array) -> Array:
        m, v = m / (1 - 0.9 ** (number + 1)), v / (1 - 0.999 ** (number + 1))
        return p - rate * (m / (jnp.sqrt(v) + 1e-8) + decay * p)

    return jax.tree.map(moved, params, first, second), first, second
