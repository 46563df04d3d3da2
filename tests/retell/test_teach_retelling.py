"""From lines with findings to weights that the program runs from, all of it small."""

from __future__ import annotations

import json
import math
import sys
from itertools import product
from pathlib import Path

import pytest
from click.testing import CliRunner

pytest.importorskip("jax", reason="teaching needs the extra 'teach'")
sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "entail"))

import jax
import jax.numpy as jnp
import numpy as np
from small_network import small_base

from dictate.cli import main
from dictate.errors import ModelError
from dictate.retell.lines import LONGEST, Line
from dictate.retell.retelling import Retelling
from dictate.retell.words import alphabet
from dictate.teach.open_network import cut_base
from dictate.teach.retell_files import read_known, write_network
from dictate.teach.retell_network import retell
from dictate.teach.retell_train import Cut, Settings, teach

MUSCLES, SIDES, GRADES = ("deltoid", "biceps", "grip"), ("right", "left"), ("two", "three", "four")
_SHORT = ("--layers", "1", "--turns", "1")


@pytest.fixture(scope="module")
def known(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Lines of one muscle each."""
    file = tmp_path_factory.mktemp("known") / "known.jsonl"
    with file.open("w") as out:
        for muscle, side, grade in product(MUSCLES, SIDES, GRADES):
            row = ["strength", muscle, side, grade]
            one = {"before": [], "text": f"{side} {muscle} {grade}.", "rows": [row]}
            out.write(json.dumps({**one, "ask": False, "weight": 1.0}) + "\n")
    return file


@pytest.fixture(scope="module")
def base(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return small_base(tmp_path_factory.mktemp("open") / "base", (*MUSCLES, *SIDES, *GRADES))


def test_one_command_teaches_what_the_program_runs_from(
    known: Path, base: Path, tmp_path: Path
) -> None:
    told = CliRunner().invoke(
        main, ["teach-retelling", str(known), str(tmp_path / "out"), "--base", str(base), *_SHORT]
    )
    assert told.exit_code == 0, told.output
    network = Retelling(tmp_path / "out")
    assert network.retell([Line((), "right deltoid four.")])[0] is not None
    manifest = json.loads((tmp_path / "out" / "manifest.json").read_text())
    assert manifest["lines"] == len(MUSCLES) * len(SIDES) * len(GRADES)


def test_it_runs_as_it_was_taught_and_learns(known: Path, base: Path, tmp_path: Path) -> None:
    lines = read_known(known)
    weights, told = cut_base(base, [one.line.text for one in lines], LONGEST)
    vocabulary = tmp_path / "tokenizer.json"
    vocabulary.write_text(json.dumps(told))
    words, whole = alphabet([row for one in lines for row in one.rows], 2)
    heard: list[str] = []
    settings = Settings(layers=1, turns=40, batch=6, rate=3e-3, decoder_rate=6e-3)
    params = teach(weights, vocabulary, words, whole, lines, settings, heard.append)
    first, last = (float(line.rsplit(" ", 1)[1]) for line in (heard[0], heard[-1]))
    assert last < first / 2
    write_network(params, vocabulary, words, tmp_path / "out", {"taught": {}})
    cut = Cut(vocabulary, words, whole).of(lines[:1])[0]
    assert cut is not None
    ids, out = cut
    held = {name: jnp.asarray(table) for name, table in params.items()}
    scores = jax.nn.log_softmax(retell(held, jnp.asarray([ids]), jnp.asarray([out[:-1]]))[0], -1)
    exact = float(np.take_along_axis(np.asarray(scores), np.array(out[1:])[:, None], -1).sum())
    import ctranslate2

    run = ctranslate2.Translator(str(tmp_path / "out"), device="cpu", compute_type="float32")
    names = json.loads((tmp_path / "out" / "source_vocabulary.json").read_text())
    score = run.score_batch([[names[i] for i in ids]], [[words[i] for i in out[1:-1]]])[0]
    assert math.isclose(sum(score.log_probs), exact, abs_tol=0.2), "eight bits are not exact"


def test_a_line_that_is_none_is_named(tmp_path: Path) -> None:
    file = tmp_path / "known.jsonl"
    file.write_text('{"before": [], "text": "x"}\n')
    with pytest.raises(ModelError, match=r"Line 1 of known\.jsonl"):
        read_known(file)
