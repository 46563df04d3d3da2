"""What the network that weighs pairs begins with, and the files that it is run from."""

from __future__ import annotations

import hashlib
import json
import re
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any, TypeVar

import numpy as np

from dictate.entail.entailment import HEAD, MANIFEST, TOKENIZER
from dictate.entail.pairs import LONGEST, Pair
from dictate.errors import ModelError
from dictate.teach.entail_network import HEADS, layers_of
from dictate.teach.entail_train import Judged, Settings, Tell, teach

Table = np.ndarray[Any, Any]
One = TypeVar("One")
OPEN_WEIGHTS = "model.safetensors"
_WORDS = "embeddings.word_embeddings.weight"
_PLACES = "embeddings.position_embeddings.weight"
#: Whole words of the open vocabulary that are kept whatever is taught: the commonest.
_COMMON = 9000
#: Single signs, and pieces of words: with these any word can still be written.
_PIECES = re.compile(r"[\x21-\x7e]|##[\x21-\x7e]+")
#: A value of a test was taught where so many lines that mean it were shown, made ones left out.
_TAUGHT = 20
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


def read_judged(file: Path) -> list[Judged]:
    """Judged pairs, a line of JSON each: before, text, phrase, at, test, value, right, weight.

    Raises:
        ModelError: A line is none; a sentence.
    """

    def judged(one: Any) -> Judged:
        pair = Pair(tuple(one["before"]), one["text"], one["phrase"], int(one["at"]))
        return Judged(pair, bool(one["right"]), float(one["weight"]), (one["test"], one["value"]))

    return read_lines(file, judged, "judged pair")


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
        rows = base[_WORDS]
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
    weights[_WORDS] = rows[order].astype(np.float16)
    weights[_PLACES] = weights[_PLACES][:places]
    return weights, told


def teach_into(
    folder: Path, judged: Path, base: Path, texts: Iterable[str], settings: Settings, tell: Tell
) -> None:
    """Teach the network, and write what it is run from.

    Args:
        folder: Gets the weights.
        judged: The file of judged pairs.
        base: The folder of the open network.
        texts: What must be written in whole words, beside the pairs.
        settings: How it is taught.
        tell: Called with a sentence now and then.

    Raises:
        ModelError: The base or the pairs cannot be used; a sentence.
    """
    pairs = read_judged(judged)
    said = [part for one in pairs for part in (*one.pair.before, one.pair.text, one.pair.phrase)]
    weights, told = cut_base(base, [*texts, *said])
    folder.mkdir(parents=True, exist_ok=True)
    vocabulary = folder / TOKENIZER
    vocabulary.write_text(json.dumps(told, ensure_ascii=False))
    tell(f"{len(pairs)} pairs, {len(weights[_WORDS])} pieces of words")
    params = teach(weights, vocabulary, pairs, settings, tell)
    write_network(params, vocabulary, folder, made_of(judged, base, pairs, settings))


def made_of(
    judged: Path, base: Path, pairs: Sequence[Judged], settings: Settings
) -> dict[str, Any]:
    """The manifest: what the weights came from, and the values of each test that were taught."""
    shown = (one.of for one in pairs if one.right and one.weight >= 1)
    return {
        "base": "all-MiniLM-L6-v2 (sentence-transformers), Apache License 2.0; vocabulary cut, "
        "all weights taught on",
        "base_sha256": sha256(base / OPEN_WEIGHTS),
        "judged_sha256": sha256(judged),
        "pairs": len(pairs),
        "settings": asdict(settings),
        "taught": taught_of(shown, _TAUGHT),
    }


def taught_of(shown: Iterable[tuple[str, str]], least: int) -> dict[str, list[str]]:
    """The values of each test that came at least so often, sorted."""
    taught: dict[str, list[str]] = {}
    for (test, value), times in sorted(Counter(shown).items()):
        if times >= least:
            taught.setdefault(test, []).append(value)
    return taught


def sha256(file: Path) -> str:
    """The hash of a file."""
    return hashlib.sha256(file.read_bytes()).hexdigest()


def write_network(
    params: Mapping[str, Table], vocabulary: Path, folder: Path, manifest: Mapping[str, Any]
) -> None:
    """Write what ``dictate.entail`` runs from: eight-bit weights, head, vocabulary, manifest.

    Args:
        params: As ``entail_train.teach`` gives them.
        vocabulary: ``tokenizer.json``.
        folder: Made where it is not there.
        manifest: What it was made of.
    """
    from ctranslate2.specs import common_spec, transformer_spec

    encoder = transformer_spec.TransformerEncoderSpec(
        layers_of(params),
        HEADS,
        pre_norm=False,
        activation=common_spec.Activation.GELU,
        layernorm_embedding=True,
        num_source_embeddings=2,
        embeddings_merge=common_spec.EmbeddingsMerge.ADD,
    )
    encoder.scale_embeddings = False
    model = transformer_spec.TransformerEncoderModelSpec(encoder)

    def table(name: str) -> Table:
        return np.array(params[name], np.float32)  # a copy: it is quantized in place

    def linear(spec: Any, *names: str) -> None:
        spec.weight = np.concatenate([table(f"{name}.weight") for name in names])
        spec.bias = np.concatenate([table(f"{name}.bias") for name in names])

    def norm(spec: Any, name: str) -> None:
        spec.gamma, spec.beta = table(f"{name}.weight"), table(f"{name}.bias")

    encoder.embeddings[0].weight = table(_WORDS)
    encoder.embeddings[1].weight = table("embeddings.token_type_embeddings.weight")
    encoder.position_encodings.encodings = table(_PLACES)
    norm(encoder.layernorm_embedding, "embeddings.LayerNorm")
    for number, layer in enumerate(encoder.layer):
        at = f"encoder.layer.{number}"
        own = (f"{at}.attention.self.{name}" for name in ("query", "key", "value"))
        linear(layer.self_attention.linear[0], *own)
        linear(layer.self_attention.linear[1], f"{at}.attention.output.dense")
        norm(layer.self_attention.layer_norm, f"{at}.attention.output.LayerNorm")
        linear(layer.ffn.linear_0, f"{at}.intermediate.dense")
        linear(layer.ffn.linear_1, f"{at}.output.dense")
        norm(layer.ffn.layer_norm, f"{at}.output.LayerNorm")
    words: dict[str, int] = json.loads(vocabulary.read_text("utf-8"))["model"]["vocab"]
    model.register_vocabulary(sorted(words, key=lambda word: words[word]))
    model.config.unk_token = "[UNK]"
    model.config.layer_norm_epsilon = 1e-12
    model.validate()
    model.optimize(quantization="int8")
    folder.mkdir(parents=True, exist_ok=True)
    model.save(str(folder))
    np.savez(folder / HEAD, weight=table("head.weight"), base=table("head.bias"))
    if vocabulary != folder / TOKENIZER:
        (folder / TOKENIZER).write_bytes(vocabulary.read_bytes())
    (folder / MANIFEST).write_text(json.dumps(manifest, indent=1, ensure_ascii=False) + "\n")
