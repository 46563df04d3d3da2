"""An open network of the real one's make, so small that a processor teaches it in seconds."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
from safetensors.numpy import save_file

WIDTH, WIDE, LAYERS, PLACES = 24, 48, 2, 512
_SPECIAL = ("[PAD]", "[UNK]", "[CLS]", "[SEP]", "[MASK]")


def small_base(folder: Path, words: tuple[str, ...], seed: int = 1) -> Path:
    """Write weights drawn by lot, and a vocabulary of letters and some words.

    Args:
        folder: Made here.
        words: Written whole.
        seed: Of the lot.
    """
    folder.mkdir()
    letters = [chr(code) for code in range(33, 127)]
    pieces = [*_SPECIAL, *letters, *(f"##{letter}" for letter in letters), *words]
    vocabulary = {piece: number for number, piece in enumerate(dict.fromkeys(pieces))}
    draw = np.random.default_rng(seed)
    tensors: dict[str, np.ndarray] = {}

    def matrix(name: str, *shape: int) -> None:
        tensors[name] = (draw.standard_normal(shape) * 0.1).astype(np.float32)

    def linear(name: str, out: int, into: int) -> None:
        matrix(f"{name}.weight", out, into)
        tensors[f"{name}.bias"] = np.zeros(out, np.float32)

    def norm(name: str) -> None:
        tensors[f"{name}.weight"] = np.ones(WIDTH, np.float32)
        tensors[f"{name}.bias"] = np.zeros(WIDTH, np.float32)

    matrix("embeddings.word_embeddings.weight", len(vocabulary), WIDTH)
    matrix("embeddings.position_embeddings.weight", PLACES, WIDTH)
    matrix("embeddings.token_type_embeddings.weight", 2, WIDTH)
    norm("embeddings.LayerNorm")
    for number in range(LAYERS):
        at = f"encoder.layer.{number}"
        for name in ("self.query", "self.key", "self.value", "output.dense"):
            linear(f"{at}.attention.{name}", WIDTH, WIDTH)
        norm(f"{at}.attention.output.LayerNorm")
        linear(f"{at}.intermediate.dense", WIDE, WIDTH)
        linear(f"{at}.output.dense", WIDTH, WIDE)
        norm(f"{at}.output.LayerNorm")
    save_file(tensors, folder / "model.safetensors")
    told = {
        "version": "1.0", "truncation": None, "padding": None, "post_processor": None,
        "added_tokens": [
            {
                "id": vocabulary[piece], "content": piece, "special": True, "normalized": False,
                "single_word": False, "lstrip": False, "rstrip": False,
            }
            for piece in _SPECIAL
        ],
        "normalizer": {
            "type": "BertNormalizer", "clean_text": True, "handle_chinese_chars": True,
            "strip_accents": None, "lowercase": True,
        },
        "pre_tokenizer": {"type": "BertPreTokenizer"},
        "decoder": {"type": "WordPiece", "prefix": "##", "cleanup": True},
        "model": {
            "type": "WordPiece", "unk_token": "[UNK]", "continuing_subword_prefix": "##",
            "max_input_chars_per_word": 100, "vocab": vocabulary,
        },
    }  # fmt: skip
    (folder / "tokenizer.json").write_text(json.dumps(told))
    return folder
