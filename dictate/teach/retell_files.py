"""What the network that retells is taught from, and the files that it is run from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

from dictate.retell.lines import LONGEST, Line
from dictate.retell.words import BEGIN, END, alphabet
from dictate.teach.entail_network import HEADS, layers_of
from dictate.teach.open_network import (
    KINDS,
    Spec,
    Table,
    base_of,
    cut_base,
    keep_words,
    pieces_of,
    read_lines,
    sha256,
    shape,
    taught_of,
    write_into,
)
from dictate.teach.retell_network import decoder_layers
from dictate.teach.retell_train import Known, Settings, Tell, teach

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
    vocabulary = keep_words(folder, told)
    tell(f"{len(lines)} lines, {len(words)} words to retell them in")
    params = teach(weights, vocabulary, words, whole, lines, settings, tell)
    write_network(params, vocabulary, words, folder, made_of(known, base, lines, settings))


def made_of(known: Path, base: Path, lines: Sequence[Known], settings: Settings) -> dict[str, Any]:
    """The manifest: what the weights came from, and the values of each test that were taught."""
    # what was made, and examples, name tests of which no line of a round tells
    shown = ((row[0], row[3]) for one in lines if one.weight >= 1 for row in one.rows)
    return {
        **base_of(base),
        "decoder": "of our own, begun with numbers drawn by lot",
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
    from ctranslate2.specs import transformer_spec

    encoder = transformer_spec.TransformerEncoderSpec(layers_of(params), HEADS, **shape())
    decoder = transformer_spec.TransformerDecoderSpec(decoder_layers(params), HEADS, **shape())
    decoder.scale_embeddings = decoder.start_from_zero_embedding = False
    spec = Spec(params)
    spec.encoder(encoder)
    # all tokens are of the first kind
    encoder.position_encodings.encodings += spec.table(KINDS)[0]
    decoder.embeddings.weight = spec.table("decoder.words.weight")
    decoder.position_encodings.encodings = spec.table("decoder.positions.weight")
    spec.norm(decoder.layernorm_embedding, "decoder.norm")
    decoder.projection.weight = spec.table("decoder.words.weight")
    decoder.projection.bias = spec.table("decoder.out.bias")
    for number, layer in enumerate(decoder.layer):
        at = f"decoder.{number}"
        spec.linear(
            layer.self_attention.linear[0], *(f"{at}.own.{n}" for n in ("query", "key", "value"))
        )
        spec.linear(layer.self_attention.linear[1], f"{at}.own.output")
        spec.norm(layer.self_attention.layer_norm, f"{at}.own.norm")
        spec.linear(layer.attention.linear[0], f"{at}.said.query")
        spec.linear(layer.attention.linear[1], f"{at}.said.key", f"{at}.said.value")
        spec.linear(layer.attention.linear[2], f"{at}.said.output")
        spec.norm(layer.attention.layer_norm, f"{at}.said.norm")
        spec.linear(layer.ffn.linear_0, f"{at}.wide")
        spec.linear(layer.ffn.linear_1, f"{at}.narrow")
        spec.norm(layer.ffn.layer_norm, f"{at}.norm")
    model = transformer_spec.TransformerSpec(encoder, decoder)
    model.register_source_vocabulary(pieces_of(vocabulary))
    model.register_target_vocabulary(list(words))
    model.config.bos_token, model.config.eos_token = BEGIN, END
    model.config.decoder_start_token = BEGIN
    write_into(folder, model, vocabulary, manifest)
