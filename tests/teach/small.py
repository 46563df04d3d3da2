"""A network of the open one's make, so small that a processor teaches it in seconds."""

from __future__ import annotations

import numpy as np

from dictate.recognise.weights import Tensor, Weights

WIDTH, HEADS, VOCABULARY = 16, 2, 51_865


def small_network(seed: int = 1) -> Weights:
    """Weights drawn by lot: one layer of each kind, 16 wide, the open vocabulary."""
    draw = np.random.default_rng(seed)
    tensors: dict[str, Tensor] = {}

    def matrix(name: str, *shape: int) -> None:
        tensors[name] = (draw.standard_normal(shape) / np.sqrt(shape[-1])).astype("<f2")

    def linear(name: str, out: int, into: int) -> None:
        matrix(f"{name}/weight", out, into)
        tensors[f"{name}/bias"] = np.zeros(out, "<f2")

    def norm(name: str) -> None:
        tensors[f"{name}/gamma"] = np.ones(WIDTH, "<f2")
        tensors[f"{name}/beta"] = np.zeros(WIDTH, "<f2")

    def feed(name: str) -> None:
        norm(f"{name}/layer_norm")
        linear(f"{name}/linear_0", 2 * WIDTH, WIDTH)
        linear(f"{name}/linear_1", WIDTH, 2 * WIDTH)

    matrix("decoder/embeddings/weight", VOCABULARY, WIDTH)
    matrix("decoder/position_encodings/encodings", 448, WIDTH)
    matrix("encoder/position_encodings/encodings", 1500, WIDTH)
    matrix("encoder/conv1/weight", WIDTH, 80, 3)
    matrix("encoder/conv2/weight", WIDTH, WIDTH, 3)
    for name in ("encoder/conv1/bias", "encoder/conv2/bias"):
        tensors[name] = np.zeros(WIDTH, "<f2")
    for part in ("encoder", "decoder"):
        norm(f"{part}/layer_norm")
        norm(f"{part}/layer_0/self_attention/layer_norm")
        linear(f"{part}/layer_0/self_attention/linear_0", 3 * WIDTH, WIDTH)
        linear(f"{part}/layer_0/self_attention/linear_1", WIDTH, WIDTH)
        feed(f"{part}/layer_0/ffn")
    norm("decoder/layer_0/attention/layer_norm")
    linear("decoder/layer_0/attention/linear_0", WIDTH, WIDTH)
    linear("decoder/layer_0/attention/linear_1", 2 * WIDTH, WIDTH)
    linear("decoder/layer_0/attention/linear_2", WIDTH, WIDTH)
    tensors["decoder/num_heads"] = np.asarray(HEADS, "<i2")
    tensors["encoder/num_heads"] = np.asarray(HEADS, "<i2")
    return Weights("WhisperSpec", 3, tensors, ())
