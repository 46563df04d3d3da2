"""The network that weighs pairs, in jax, for teaching; the same sums as ``dictate.entail`` runs.

An encoder of the kind of Devlin et al. 2019 (arXiv:1810.04805): learned positions, layer norm
after each sum, gelu. Weights are called as the open file calls them.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np

Array = Any
Params = dict[str, Array]
#: Of the attention; each looks at 32 of 384 numbers.
HEADS = 12
_EPSILON = 1e-12
_EMBEDDINGS = "embeddings."


def begin(base: Mapping[str, np.ndarray[Any, Any]], layers: int, seed: int) -> Params:
    """The open weights' first layers, and a head that knows nothing yet."""
    params = {
        name: jnp.asarray(tensor, jnp.float32)
        for name, tensor in base.items()
        if name.startswith(_EMBEDDINGS) or 0 <= layer_of(name) < layers
    }
    width = params["embeddings.LayerNorm.weight"].shape[0]
    head = jax.random.normal(jax.random.PRNGKey(seed), (width,)) * 0.02
    return {**params, "head.weight": head, "head.bias": jnp.zeros(())}


def layer_of(name: str) -> int:
    """Which layer a weight is of; -1 for none."""
    parts = name.split(".")
    return int(parts[2]) if name.startswith("encoder.layer.") else -1


def layers_of(params: Mapping[str, Array]) -> int:
    """How many layers there are."""
    return 1 + max(map(layer_of, params))


def weigh(
    params: Params,
    ids: Array,
    types: Array,
    key: Array | None = None,
    part: float = 0.1,
    exact: Any = jnp.float32,
) -> Array:
    """One number for each pair; for what is given see ``encode``."""
    x = encode(params, ids, types, key, part, exact)
    return x[:, 0] @ params["head.weight"] + params["head.bias"]


def encode(
    params: Params,
    ids: Array,
    types: Array,
    key: Array | None = None,
    part: float = 0.1,
    exact: Any = jnp.float32,
) -> Array:
    """What stands at each place, in context (rows, places, width).

    Args:
        params: As ``begin`` gives them.
        ids: Tokens (rows, places); 0 where there is none.
        types: 0 and 1 (rows, places).
        key: For what is left out while it is taught; None leaves nothing out.
        part: How much of it.
        exact: In which numbers the large products are made.
    """
    here = ids != 0

    def less(x: Array, number: int) -> Array:
        if key is None:
            return x
        kept = jax.random.bernoulli(jax.random.fold_in(key, number), 1 - part, x.shape)
        return jnp.where(kept, x / (1 - part), 0)

    def linear(name: str, x: Array) -> Array:
        weight = params[f"{name}.weight"].T.astype(exact)
        return x.astype(exact) @ weight + params[f"{name}.bias"].astype(exact)

    x = params["embeddings.word_embeddings.weight"][ids]
    x = x + params["embeddings.position_embeddings.weight"][: ids.shape[1]]
    x = x + params["embeddings.token_type_embeddings.weight"][types]
    x = less(normed(params, "embeddings.LayerNorm", x), 0)
    pairs, places, width = x.shape
    for layer in range(layers_of(params)):
        at = f"encoder.layer.{layer}"
        query, keys, values = (
            linear(f"{at}.attention.self.{name}", x).reshape(pairs, places, HEADS, -1)
            for name in ("query", "key", "value")
        )
        scores = jnp.einsum("bqhd,bkhd->bhqk", query, keys).astype(jnp.float32)
        scores = jnp.where(here[:, None, None, :], scores / np.sqrt(width // HEADS), -1e9)
        looked = less(jax.nn.softmax(scores, -1), 10 * layer + 1).astype(exact)
        seen = jnp.einsum("bhqk,bkhd->bqhd", looked, values).reshape(pairs, places, width)
        seen = less(linear(f"{at}.attention.output.dense", seen), 10 * layer + 2)
        x = normed(params, f"{at}.attention.output.LayerNorm", x + seen)
        wide = linear(f"{at}.intermediate.dense", x).astype(jnp.float32)
        wide = linear(f"{at}.output.dense", jax.nn.gelu(wide, approximate=False))
        x = normed(params, f"{at}.output.LayerNorm", x + less(wide, 10 * layer + 3))
    return x


def normed(params: Params, name: str, x: Array) -> Array:
    """Each place with a middle of 0 and a spread of 1, times a weight, plus a bias."""
    x = x.astype(jnp.float32)
    middle = x.mean(-1, keepdims=True)
    spread = ((x - middle) ** 2).mean(-1, keepdims=True)
    x = (x - middle) * jax.lax.rsqrt(spread + _EPSILON)
    return x * params[f"{name}.weight"] + params[f"{name}.bias"]
