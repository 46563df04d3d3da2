"""What the network that weighs pairs is taught from, and the files that it is run from."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict
from pathlib import Path
from typing import Any

import numpy as np

from dictate.entail.entailment import HEAD
from dictate.entail.pairs import Pair
from dictate.teach.entail_network import HEADS, layers_of
from dictate.teach.entail_train import Judged, Settings, Tell, teach
from dictate.teach.open_network import (
    KINDS,
    WORDS,
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

#: A value of a test was taught where so many lines that mean it were shown, made ones left out.
_TAUGHT = 20


def read_judged(file: Path) -> list[Judged]:
    """Judged pairs, a line of JSON each: before, text, phrase, at, test, value, right, weight.

    Raises:
        ModelError: A line is none; a sentence.
    """

    def judged(one: Any) -> Judged:
        pair = Pair(tuple(one["before"]), one["text"], one["phrase"], int(one["at"]))
        return Judged(pair, bool(one["right"]), float(one["weight"]), (one["test"], one["value"]))

    return read_lines(file, judged, "judged pair")


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
    vocabulary = keep_words(folder, told)
    tell(f"{len(pairs)} pairs, {len(weights[WORDS])} pieces of words")
    params = teach(weights, vocabulary, pairs, settings, tell)
    write_network(params, vocabulary, folder, made_of(judged, base, pairs, settings))


def made_of(
    judged: Path, base: Path, pairs: Sequence[Judged], settings: Settings
) -> dict[str, Any]:
    """The manifest: what the weights came from, and the values of each test that were taught."""
    shown = (one.of for one in pairs if one.right and one.weight >= 1)
    return {
        **base_of(base),
        "judged_sha256": sha256(judged),
        "pairs": len(pairs),
        "settings": asdict(settings),
        "taught": taught_of(shown, _TAUGHT),
    }


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
        num_source_embeddings=2,
        embeddings_merge=common_spec.EmbeddingsMerge.ADD,
        **shape(),
    )
    spec = Spec(params)
    spec.encoder(encoder)
    encoder.embeddings[1].weight = spec.table(KINDS)
    model = transformer_spec.TransformerEncoderModelSpec(encoder)
    model.register_vocabulary(pieces_of(vocabulary))
    write_into(folder, model, vocabulary, manifest)
    np.savez(folder / HEAD, weight=spec.table("head.weight"), base=spec.table("head.bias"))
