"""Open weights and an adapter for them, so small that they are made in a moment."""

from __future__ import annotations

import hashlib
import json
from pathlib import Path

import numpy as np

from dictate.recognise.adapter import FILE, Manifest, merge, save_adapter, write_manifest
from dictate.recognise.ear_fetch import TOKENIZER, tokenizer_hash
from dictate.recognise.weights import Weights, hashes, read_weights, write_weights

NAME = "decoder/layer_0/self_attention/linear_0/weight"


def small_weights(seed: int = 1) -> Weights:
    """Two tensors, one of which is adapted."""
    draw = np.random.default_rng(seed)
    tensors = {
        NAME: draw.standard_normal((12, 4)).astype("<f2"),
        "encoder/conv1/bias": draw.standard_normal(4).astype("<f2"),
    }
    return Weights("WhisperSpec", 3, tensors, ())


def write_base(folder: Path, weights: Weights | None = None, first_merge: bool = True) -> Path:
    """A folder of open weights, with a tokenizer of single letters and two merges."""
    folder.mkdir(parents=True, exist_ok=True)
    write_weights(weights or small_weights(), folder / "model.bin")
    letters = [chr(200 + n) for n in range(256)]
    merges = [f"{letters[0]} {letters[1]}", f"{letters[2]} {letters[3]}"]
    words = [*letters, *(merge.replace(" ", "") for merge in merges)]
    vocabulary = {word: number for number, word in enumerate(words)}
    model = {"vocab": vocabulary, "merges": merges if first_merge else merges[1:]}
    (folder / TOKENIZER).write_text(json.dumps({"model": model}), encoding="utf-8")
    (folder / "config.json").write_text("{}")
    (folder / "vocabulary.txt").write_text("\n".join(words))
    return folder


def write_adapter(folder: Path, base: Path, seed: int = 2) -> Path:
    """An adapter for the weights in a folder, with its manifest."""
    folder.mkdir(parents=True, exist_ok=True)
    draw = np.random.default_rng(seed)
    thin = {NAME: (draw.standard_normal((2, 4)), draw.standard_normal((12, 2)))}
    save_adapter(thin, folder / FILE)
    weights = read_weights(base / "model.bin")
    write_weights(merge(weights, read_weights(folder / FILE)), folder / "merged.bin")
    expected = {**hashes(weights), TOKENIZER: tokenizer_hash(base / TOKENIZER)}
    sums = [_sha256(folder / name) for name in (FILE, "merged.bin")]
    write_manifest(Manifest("base", expected, *sums, "0" * 64, 1, 2), folder)
    return folder


def _sha256(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()
