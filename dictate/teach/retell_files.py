"""What the network that retells is taught from, and the files that it is run from."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np

from dictate.entail.entailment import MANIFEST, TOKENIZER
from dictate.retell.lines import LONGEST, Line
from dictate.retell.words import BEGIN, END, alphabet
from dictate.teach.entail_files import OPEN_WEIGHTS, cut_base, read_lines, sha256, taught_of
from dictate.teach.entail_network import HEADS, layers_of
from dictate.teach.retell_network import decoder_layers
from dictate.teach.retell_train import Known, Settings, Tell, teach

Table = np.ndarray[Any, Any]
#: A value that comes so often is a word of its own, and one of a test was taught.
_WHOLE, _TAUGHT = 8, 15


def read_known(file: Path) -> list[Known]:
    """Lines with their findings, a line of JSON each: before, text, rows, ask, weight.

    Raises:
        ModelError: A line is none; a sentence.
    """

    def known(one: Any) -> Known:
        rows = tuple((t, s, d, str(v)) for t, s, d, v in one["rows"])
        said = Line(tuple(one["before"]), one["text"])
        return Known(said, rows, bool(one["ask"]), float(one["weight"]))

    return read_lines(file, known, "line with findings")


def teach_into(folder: Path, known: Path, base: Path, settings: Settings, tell: Tell) -> None:
    """Teach the network, and write what it is run from.

    Args:
        folder: Gets the weights.
        known: The file of lines with their findings.
        base: The folder of the open network.
        settings: How it is taught.
        tell: Called with a sentence now and then.

    Raises:
        ModelError: The base or the lines cannot be used; a sentence.
    """
    lines = read_known(known)
    texts = [part for one in lines for part in (*one.line.before, one.line.text)]
    weights, told = cut_base(base, texts, LONGEST)
    words, whole = alphabet((row for one in lines for row in one.rows), _WHOLE)
    folder.mkdir(parents=True, exist_ok=True)
    vocabulary = folder / TOKENIZER
    vocabulary.write_text(json.dumps(told, ensure_ascii=False))
    tell(f"{len(lines)} lines, {len(words)} words to retell them in")
    params = teach(weights, vocabulary, words, whole, lines, settings, tell)
    write_network(params, vocabulary, words, folder, made_of(known, base, lines, settings))


def made_of(known: Path, base: Path, lines: Sequence[Known], settings: Settings) -> dict[str, Any]:
    """The manifest: what the weights came from, and the values of each test that were taught."""
    shown = ((row[0], row[3]) for one in lines for row in one.rows)
    return {
        "base": "all-MiniLM-L6-v2 (sentence-transformers), Apache License 2.0; vocabulary cut, "
        "all weights taught on, with a decoder of our own",
        "base_sha256": sha256(base / OPEN_WEIGHTS),
        "lines_sha256": sha256(known),
        "lines": len(lines),
        "settings": asdict(settings),
        "taught": taught_of(shown, _TAUGHT),
    }


def write_network(
    params: Mapping[str, Table], vocabulary: Path, words: Sequence[str], folder: Path,
    manifest: Mapping[str, Any],
) -> None:  # fmt: skip
    """Write what ``dictate.retell`` runs from: eight-bit weights, vocabularies, manifest.

    Args:
        params: As ``retell_train.teach`` gives them.
        vocabulary: ``tokenizer.json``.
        words: What it retells in.
        folder: Made where it is not there.
        manifest: What it was made of.
    """
    from ctranslate2.specs import common_spec, transformer_spec

    shape = {
        "pre_norm": False,
        "activation": common_spec.Activation.GELU,
        "layernorm_embedding": True,
    }
    encoder = transformer_spec.TransformerEncoderSpec(layers_of(params), HEADS, **shape)
    decoder = transformer_spec.TransformerDecoderSpec(decoder_layers(params), HEADS, **shape)
    spec = transformer_spec.TransformerSpec(encoder, decoder)
    encoder.scale_embeddings = decoder.scale_embeddings = False
    decoder.start_from_zero_embedding = False

    def table(name: str) -> Table:
        return np.array(params[name], np.float32)  # a copy: it is quantized in place

    def linear(spec: Any, *names: str) -> None:
        spec.weight = np.concatenate([table(f"{name}.weight") for name in names])
        spec.bias = np.concatenate([table(f"{name}.bias") for name in names])

    def norm(spec: Any, name: str) -> None:
        spec.gamma, spec.beta = table(f"{name}.weight"), table(f"{name}.bias")

    encoder.embeddings[0].weight = table("embeddings.word_embeddings.weight")
    first = table("embeddings.token_type_embeddings.weight")[0]
    encoder.position_encodings.encodings = table("embeddings.position_embeddings.weight") + first
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
    decoder.embeddings.weight = table("decoder.words.weight")
    decoder.position_encodings.encodings = table("decoder.positions.weight")
    norm(decoder.layernorm_embedding, "decoder.norm")
    decoder.projection.weight = table("decoder.words.weight")
    decoder.projection.bias = table("decoder.out.bias")
    for number, layer in enumerate(decoder.layer):
        at = f"decoder.{number}"
        linear(
            layer.self_attention.linear[0], *(f"{at}.own.{n}" for n in ("query", "key", "value"))
        )
        linear(layer.self_attention.linear[1], f"{at}.own.output")
        norm(layer.self_attention.layer_norm, f"{at}.own.norm")
        linear(layer.attention.linear[0], f"{at}.said.query")
        linear(layer.attention.linear[1], f"{at}.said.key", f"{at}.said.value")
        linear(layer.attention.linear[2], f"{at}.said.output")
        norm(layer.attention.layer_norm, f"{at}.said.norm")
        linear(layer.ffn.linear_0, f"{at}.wide")
        linear(layer.ffn.linear_1, f"{at}.narrow")
        norm(layer.ffn.layer_norm, f"{at}.norm")
    pieces: dict[str, int] = json.loads(vocabulary.read_text("utf-8"))["model"]["vocab"]
    spec.register_source_vocabulary(sorted(pieces, key=lambda piece: pieces[piece]))
    spec.register_target_vocabulary(list(words))
    spec.config.unk_token = "[UNK]"
    spec.config.bos_token, spec.config.eos_token = BEGIN, END
    spec.config.decoder_start_token = BEGIN
    spec.config.layer_norm_epsilon = 1e-12
    spec.validate()
    spec.optimize(quantization="int8")
    folder.mkdir(parents=True, exist_ok=True)
    spec.save(str(folder))
    if vocabulary != folder / TOKENIZER:
        (folder / TOKENIZER).write_bytes(vocabulary.read_bytes())
    (folder / MANIFEST).write_text(json.dumps(manifest, indent=1, ensure_ascii=False) + "\n")
