"""The network that retells, in jax, for teaching; the same sums as ``dictate.retell`` runs.

The encoder is the one that weighs pairs; a decoder of the kind of Vaswani et al. 2017
(arXiv:1706.03762) reads what it says: learned positions, layer norm after each sum, gelu.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np

from dictate.teach.entail_network import HEADS, Array, Params, encode, normed

#: The most words that one utterance is retold in.
MOST = 200
_WIDE = 4


def begin(encoder: Params, words: int, layers: int, seed: int) -> Params:
    """An encoder that was taught, and a decoder that knows nothing yet.

    Args:
        encoder: Its weights by name.
        words: That the decoder knows.
        layers: Of the decoder.
        seed: What is drawn with.
    """
    width = encoder["embeddings.LayerNorm.weight"].shape[0]
    draw = np.random.default_rng(seed)
    params: Params = {n: t for n, t in encoder.items() if not n.startswith("head.")}

    def linear(name: str, out: int, into: int) -> None:
        params[f"{name}.weight"] = jnp.asarray(draw.normal(0, 0.02, (out, into)), jnp.float32)
        params[f"{name}.bias"] = jnp.zeros(out)

    def norm(name: str) -> None:
        params[f"{name}.weight"], params[f"{name}.bias"] = jnp.ones(width), jnp.zeros(width)

    for name, rows in (("words", words), ("positions", MOST)):
        params[f"decoder.{name}.weight"] = jnp.asarray(
            draw.normal(0, 0.02, (rows, width)), jnp.float32
        )
    norm("decoder.norm")
    params["decoder.out.bias"] = jnp.zeros(words)
    for layer in range(layers):
        at = f"decoder.{layer}"
        for part in ("own", "said"):
            for name in ("query", "key", "value", "output"):
                linear(f"{at}.{part}.{name}", width, width)
            norm(f"{at}.{part}.norm")
        linear(f"{at}.wide", _WIDE * width, width)
        linear(f"{at}.narrow", width, _WIDE * width)
        norm(f"{at}.norm")
    return params


def decoder_layers(params: Mapping[str, Array]) -> int:
    """How many layers the decoder has."""
    return 1 + max(
        int(n.split(".")[1])
        for n in params
        if n.startswith("decoder.") and n.split(".")[1].isdigit()
    )


def retell(
    params: Params, ids: Array, words: Array, key: Array | None = None, part: float = 0.1,
    exact: Any = jnp.float32,
) -> Array:  # fmt: skip
    """How likely each word is after those before it (rows, places, words), before the softmax.

    Args:
        params: As ``begin`` gives them.
        ids: Tokens of the lines (rows, places); 0 where there is none.
        words: What was told so far, the beginning first (rows, places); 0 where there is none.
        key: For what is left out while it is taught; None leaves nothing out.
        part: How much of it.
        exact: In which numbers the large products are made.
    """
    keys = (None, None) if key is None else jax.random.split(key)
    said = encode(params, ids, jnp.zeros_like(ids), keys[0], part, exact)
    rows, places = words.shape

    def less(x: Array, number: int) -> Array:
        if keys[1] is None:
            return x
        kept = jax.random.bernoulli(jax.random.fold_in(keys[1], number), 1 - part, x.shape)
        return jnp.where(kept, x / (1 - part), 0)

    def linear(name: str, x: Array) -> Array:
        weight = params[f"{name}.weight"].T.astype(exact)
        return x.astype(exact) @ weight + params[f"{name}.bias"].astype(exact)

    def look(at: str, x: Array, there: Array, seen: Array) -> Array:
        query, key_, value = (
            linear(f"{at}.{name}", y).reshape(rows, y.shape[1], HEADS, -1)
            for name, y in (("query", x), ("key", there), ("value", there))
        )
        scores = jnp.einsum("bqhd,bkhd->bhqk", query, key_).astype(jnp.float32)
        scores = jnp.where(seen, scores / np.sqrt(query.shape[-1]), -1e9)
        looked = jax.nn.softmax(scores, -1).astype(exact)
        return linear(f"{at}.output", jnp.einsum("bhqk,bkhd->bqhd", looked, value).reshape(x.shape))

    x = params["decoder.words.weight"][words] + params["decoder.positions.weight"][:places]
    x = less(normed(params, "decoder.norm", x), 0)
    before = jnp.tril(jnp.ones((places, places), bool))[None, None]
    here = (ids != 0)[:, None, None, :]
    for layer in range(decoder_layers(params)):
        at = f"decoder.{layer}"
        for number, (name, there, seen) in enumerate((("own", None, before), ("said", said, here))):
            new = look(f"{at}.{name}", x, x if there is None else there, seen)
            x = normed(params, f"{at}.{name}.norm", x + less(new, 10 * layer + number + 1))
        wide = jax.nn.gelu(linear(f"{at}.wide", x).astype(jnp.float32), approximate=False)
        x = normed(params, f"{at}.norm", x + less(linear(f"{at}.narrow", wide), 10 * layer + 3))
    table = params["decoder.words.weight"].T.astype(exact)
    return (x.astype(exact) @ table).astype(jnp.float32) + params["decoder.out.bias"]
