"""The open network that those of dictate begin with, and how what was taught of it is written."""

from __future__ import annotations

import hashlib
import json
import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

from dictate.entail.entailment import MANIFEST, TOKENIZER
from dictate.entail.pairs import LONGEST
from dictate.errors import ModelError

Table = np.ndarray[Any, Any]
One = TypeVar("One")
OPEN_WEIGHTS = "model.safetensors"
#: Whose the open networks are that were begun with, by the SHA-256 of their weights. Those of
#: the second were read out of its ONNX form (tests/retell/from_onnx.py), in half precision.
_WHOSE = {
    "53aa51172d142c89d9012cce15ae4d6cc0ca6895895114379cacb4fab128d9db": (
        "all-MiniLM-L6-v2 (sentence-transformers), Apache License 2.0"
    ),
    "4762a98a94b2f664c0ebe4a5b5175d8fc2dc6f4a6c2d53535b10ae91cfcc0280": (
        "bge-small-en-v1.5 (BAAI), MIT License"
    ),
}
WORDS = "embeddings.word_embeddings.weight"
PLACES = "embeddings.position_embeddings.weight"
KINDS = "embeddings.token_type_embeddings.weight"
#: Whole words of the open vocabulary that are kept whatever is taught: the commonest.
_COMMON = 9000
#: Single signs, and pieces of words: with these any word can still be written.
_PIECES = re.compile(r"[\x21-\x7e]|##[\x21-\x7e]+")
_ALWAYS = ("[PAD]", "[UNK]", "[CLS]", "[SEP]", "[MASK]")


def read_lines(file: Path, make: Callable[[Any], One], what: str) -> list[One]:
    """What a file of lines of JSON holds.

    Args:
        file: The file.
        make: Makes one of what a line holds.
        what: A line is, for the message.

    Raises:
        ModelError: A line is none; a sentence.
    """
    found = []
    for number, line in enumerate(file.read_text("utf-8").splitlines(), 1):
        try:
            found.append(make(json.loads(line)))
        except (ValueError, KeyError, TypeError):
            raise ModelError(f"Line {number} of {file.name} is no {what}.") from None
    return found


def cut_base(
    folder: Path, texts: Iterable[str], places: int = LONGEST
) -> tuple[dict[str, Table], dict[str, Any]]:
    """The open weights with no more words than are needed.

    Args:
        folder: With ``model.safetensors`` and ``tokenizer.json`` of the open network.
        texts: What must be written in whole words.
        places: That are kept: the most tokens of a line.

    Returns:
        The weights by name (half precision), and the vocabulary as ``tokenizer.json`` holds it.

    Raises:
        ModelError: The folder holds no such network; a sentence.
    """
    try:
        from safetensors.numpy import load_file
        from tokenizers import Tokenizer

        base = load_file(folder / OPEN_WEIGHTS)
        told = json.loads((folder / TOKENIZER).read_text("utf-8"))
        cutter = Tokenizer.from_file(str(folder / TOKENIZER))
        cutter.no_padding()
        cutter.no_truncation()
        vocabulary: dict[str, int] = told["model"]["vocab"]
        rows = base[WORDS]
    except (OSError, ValueError, KeyError, ImportError) as error:
        raise ModelError(f"The folder {folder} holds no open network: {error}.") from None
    kept = {vocabulary[piece] for piece in _ALWAYS}
    kept |= {
        number
        for piece, number in vocabulary.items()
        if _PIECES.fullmatch(piece)
        or (piece.isascii() and not piece.startswith("[") and number < _COMMON)
    }
    for found in cutter.encode_batch(list(dict.fromkeys(texts)), add_special_tokens=False):
        kept.update(found.ids)
    order = sorted(kept)
    names = {number: piece for piece, number in vocabulary.items()}
    new = {names[number]: place for place, number in enumerate(order)}
    told["model"]["vocab"] = new
    told["padding"] = told["truncation"] = told["post_processor"] = None
    for token in told["added_tokens"]:
        token["id"] = new[token["content"]]
    weights = {n: t.astype(np.float16) for n, t in base.items() if t.dtype.kind == "f"}
    weights[WORDS] = rows[order].astype(np.float16)
    weights[PLACES] = weights[PLACES][:places]
    return weights, told


def keep_words(folder: Path, told: Mapping[str, Any]) -> Path:
    """Write a vocabulary where the network will lie; the file.

    Args:
        folder: Made where it is not there.
        told: As ``cut_base`` gives it.
    """
    folder.mkdir(parents=True, exist_ok=True)
    vocabulary = folder / TOKENIZER
    vocabulary.write_text(json.dumps(told, ensure_ascii=False))
    return vocabulary


def taught_of(shown: Iterable[tuple[str, str]], least: int) -> dict[str, list[str]]:
    """The values of each test that came at least so often, sorted."""
    taught: dict[str, list[str]] = {}
    for (test, value), times in sorted(Counter(shown).items()):
        if times >= least:
            taught.setdefault(test, []).append(value)
    return taught


def base_of(folder: Path) -> dict[str, str]:
    """What was begun with, for the manifest."""
    found = sha256(folder / OPEN_WEIGHTS)
    whose = _WHOSE.get(found, "an open network")
    return {"base": f"{whose}; vocabulary cut, all weights taught on", "base_sha256": found}


def sha256(file: Path) -> str:
    """The hash of a file."""
    return hashlib.sha256(file.read_bytes()).hexdigest()


class Spec:
    """Puts tables into the form that the networks are run from.

    The encoder of both is that of the open network, so it is written here; names are its own.
    """

    def __init__(self, params: Mapping[str, Table]) -> None:
        """Take what was taught, by name."""
        self._params = params

    def table(self, name: str) -> Table:
        """One of the tables; a copy, since it is quantized in place."""
        return np.array(self._params[name], np.float32)

    def linear(self, spec: Any, *names: str) -> None:
        """Fill a linear layer with those of these names, one under the other."""
        spec.weight = np.concatenate([self.table(f"{name}.weight") for name in names])
        spec.bias = np.concatenate([self.table(f"{name}.bias") for name in names])

    def norm(self, spec: Any, name: str) -> None:
        """Fill a normalisation."""
        spec.gamma, spec.beta = self.table(f"{name}.weight"), self.table(f"{name}.bias")

    def encoder(self, encoder: Any) -> None:
        """Fill an encoder, but for the kinds of tokens, which not both have."""
        encoder.scale_embeddings = False
        encoder.embeddings[0].weight = self.table(WORDS)
        encoder.position_encodings.encodings = self.table(PLACES)
        self.norm(encoder.layernorm_embedding, "embeddings.LayerNorm")
        for number, layer in enumerate(encoder.layer):
            at = f"encoder.layer.{number}"
            own = (f"{at}.attention.self.{name}" for name in ("query", "key", "value"))
            self.linear(layer.self_attention.linear[0], *own)
            self.linear(layer.self_attention.linear[1], f"{at}.attention.output.dense")
            self.norm(layer.self_attention.layer_norm, f"{at}.attention.output.LayerNorm")
            self.linear(layer.ffn.linear_0, f"{at}.intermediate.dense")
            self.linear(layer.ffn.linear_1, f"{at}.output.dense")
            self.norm(layer.ffn.layer_norm, f"{at}.output.LayerNorm")


def shape() -> dict[str, Any]:
    """What all stacks of layers are like."""
    from ctranslate2.specs import common_spec

    gelu = common_spec.Activation.GELU
    return {"pre_norm": False, "activation": gelu, "layernorm_embedding": True}


def pieces_of(vocabulary: Path) -> list[str]:
    """The pieces of words of a ``tokenizer.json``, in the order of their numbers."""
    numbers: dict[str, int] = json.loads(vocabulary.read_text("utf-8"))["model"]["vocab"]
    return sorted(numbers, key=lambda piece: numbers[piece])


def write_into(folder: Path, model: Any, vocabulary: Path, manifest: Mapping[str, Any]) -> None:
    """Write a filled model in eight bits, with its vocabulary and its manifest.

    Args:
        folder: Made where it is not there.
        model: Of the library that runs it.
        vocabulary: ``tokenizer.json``; it may lie there already.
        manifest: What it was made of.
    """
    model.config.unk_token = "[UNK]"
    model.config.layer_norm_epsilon = 1e-12
    model.validate()
    model.optimize(quantization="int8")
    folder.mkdir(parents=True, exist_ok=True)
    model.save(str(folder))
    if vocabulary != folder / TOKENIZER:
        (folder / TOKENIZER).write_bytes(vocabulary.read_bytes())
    (folder / MANIFEST).write_text(json.dumps(manifest, indent=1, ensure_ascii=False) + "\n")
