"""The open network that is adapted (an encoder of sound, a decoder of words), in jax.

Read from the same file of weights that the listener runs with; the encoder is never changed, and
of the decoder's linear layers each gets a product of two thin matrices beside it (an adapter).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import Any

import jax
import jax.numpy as jnp
import numpy as np

from dictate.recognise.mel import log_mel
from dictate.recognise.weights import Weights

Array = Any
Params = dict[str, Array]
#: An adapter: for each adapted weight the thin matrices "down" and "up".
Adapter = dict[str, dict[str, Array]]


def params_of(weights: Weights) -> Params:
    """The weights as float32 arrays by name, without the linear layers' settings."""
    return {
        name: jnp.asarray(tensor, jnp.float32)
        for name, tensor in weights.tensors.items()
        if tensor.ndim and not name.endswith("alignment_heads")
    }


def heads_of(weights: Weights) -> int:
    """How many heads the attention has."""
    return int(np.asarray(weights.tensors["decoder/num_heads"]))


def adapted_names(params: Mapping[str, Array]) -> list[str]:
    """The weights that get an adapter: the linear layers of the decoder."""
    return sorted(
        name for name in params if name.startswith("decoder/layer_") and name.endswith("/weight")
    )


def new_adapter(params: Mapping[str, Array], rank: int, seed: int) -> Adapter:
    """An adapter that changes nothing yet."""
    key = jax.random.PRNGKey(seed)
    made: Adapter = {}
    for name in adapted_names(params):
        key, one = jax.random.split(key)
        out, into = params[name].shape
        down = jax.random.normal(one, (rank, into)) / np.sqrt(into)
        made[name] = {"down": down, "up": jnp.zeros((out, rank))}
    return made


def encode(params: Params, heads: int, sound: Array) -> Array:
    """Sound (windows, samples; int16) to what was heard (windows, places, width)."""
    mel = log_mel(sound.astype(jnp.float32) / 32768, jnp)
    x = jax.nn.gelu(_convolved(params, "encoder/conv1", mel, 1), approximate=False)
    x = jax.nn.gelu(_convolved(params, "encoder/conv2", x, 2), approximate=False)
    x = jnp.swapaxes(x, 1, 2)
    x = x + params["encoder/position_encodings/encodings"][: x.shape[1]]
    for layer in range(_layers(params, "encoder")):
        at = f"encoder/layer_{layer}"
        y = _normed(params, f"{at}/self_attention/layer_norm", x)
        q, k, v = jnp.split(_linear(params, f"{at}/self_attention/linear_0", y), 3, -1)
        x = x + _linear(params, f"{at}/self_attention/linear_1", _attended(q, k, v, heads))
        x = x + _fed_forward(params, f"{at}/ffn", x)
    return _normed(params, "encoder/layer_norm", x)


def decode(
    params: Params,
    heads: int,
    heard: Array,
    tokens: Array,
    adapter: Adapter | None = None,
    scale: float = 1.0,
    drop: tuple[Array, float] | None = None,
) -> Array:
    """What the decoder knows at each token (windows, tokens, width), before ``logits``.

    Args:
        params: Weights by name.
        heads: Heads of the attention.
        heard: As ``encode`` gives it.
        tokens: The text so far (windows, tokens).
        adapter: What is added to the decoder's linear layers.
        scale: Times the adapter's product.
        drop: A random key, and the part of the adapter's input that is left out.
    """
    linear = _Adapted(params, adapter, scale, drop)
    count = tokens.shape[1]
    x = params["decoder/embeddings/weight"][tokens]
    x = x + params["decoder/position_encodings/encodings"][:count]
    past = jnp.tril(jnp.ones((count, count), bool))
    for layer in range(_layers(params, "decoder")):
        at = f"decoder/layer_{layer}"
        y = _normed(params, f"{at}/self_attention/layer_norm", x)
        q, k, v = jnp.split(linear(f"{at}/self_attention/linear_0", y), 3, -1)
        x = x + linear(f"{at}/self_attention/linear_1", _attended(q, k, v, heads, past))
        y = _normed(params, f"{at}/attention/layer_norm", x)
        q = linear(f"{at}/attention/linear_0", y)
        k, v = jnp.split(linear(f"{at}/attention/linear_1", heard), 2, -1)
        x = x + linear(f"{at}/attention/linear_2", _attended(q, k, v, heads))
        y = _normed(params, f"{at}/ffn/layer_norm", x)
        y = jax.nn.gelu(linear(f"{at}/ffn/linear_0", y), approximate=False)
        x = x + linear(f"{at}/ffn/linear_1", y)
    return _normed(params, "decoder/layer_norm", x)


def logits(params: Params, known: Array) -> Array:
    """Scores of every token of the vocabulary."""
    return (known @ params["decoder/embeddings/weight"].T).astype(jnp.float32)


def halved(params: Params) -> Params:
    """The same in numbers of 16 bits, with which a graphics processor is several times as fast;
    what is learned stays in 32 bits."""
    return {name: tensor.astype(jnp.bfloat16) for name, tensor in params.items()}


class _Adapted:
    """A linear layer of the decoder, with its adapter."""

    def __init__(
        self,
        params: Params,
        adapter: Adapter | None,
        scale: float,
        drop: tuple[Array, float] | None,
    ) -> None:
        self._params, self._adapter, self._scale, self._drop = params, adapter, scale, drop
        self._count = 0

    def __call__(self, name: str, x: Array) -> Array:
        y = _linear(self._params, name, x)
        if self._adapter is None:
            return y
        if self._drop is not None:
            self._count += 1
            key, part = self._drop
            # the same for all places of a window: a draw for each would cost more than the rest
            shape = (x.shape[0], 1, x.shape[-1])
            kept = jax.random.bernoulli(jax.random.fold_in(key, self._count), 1 - part, shape)
            x = x * (kept / (1 - part)).astype(x.dtype)
        thin = self._adapter[f"{name}/weight"]
        down, up = thin["down"].astype(x.dtype), thin["up"].astype(x.dtype)
        return y + self._scale * ((x @ down.T) @ up.T)


def _layers(params: Params, part: str) -> int:
    found = (re.match(rf"{part}/layer_(\d+)/", name) for name in params)
    return 1 + max(int(match[1]) for match in found if match)


def _linear(params: Params, name: str, x: Array) -> Array:
    return x @ params[f"{name}/weight"].T + params[f"{name}/bias"]


def _normed(params: Params, name: str, x: Array) -> Array:
    wide = x.astype(jnp.float32)
    centred = wide - wide.mean(-1, keepdims=True)
    spread = jnp.sqrt((centred**2).mean(-1, keepdims=True) + 1e-5)
    found = centred / spread * params[f"{name}/gamma"] + params[f"{name}/beta"]
    return found.astype(x.dtype)


def _fed_forward(params: Params, name: str, x: Array) -> Array:
    y = _normed(params, f"{name}/layer_norm", x)
    y = jax.nn.gelu(_linear(params, f"{name}/linear_0", y), approximate=False)
    return _linear(params, f"{name}/linear_1", y)


def _convolved(params: Params, name: str, x: Array, stride: int) -> Array:
    y = jax.lax.conv_general_dilated(
        x, params[f"{name}/weight"], (stride,), ((1, 1),), dimension_numbers=("NCH", "OIH", "NCH")
    )
    return y + params[f"{name}/bias"][:, None]


def _attended(q: Array, k: Array, v: Array, heads: int, seen: Array | None = None) -> Array:
    def apart(x: Array) -> Array:
        return x.reshape(*x.shape[:2], heads, -1).swapaxes(1, 2)

    q, k, v = apart(q), apart(k), apart(v)
    scores = (q @ k.swapaxes(-1, -2)).astype(jnp.float32) / np.sqrt(q.shape[-1])
    if seen is not None:
        scores = jnp.where(seen, scores, -1e9)
    out = (jax.nn.softmax(scores, -1).astype(v.dtype) @ v).swapaxes(1, 2)
    return out.reshape(*out.shape[:2], -1)
