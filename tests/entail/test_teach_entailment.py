"""From judged pairs to weights that the program runs from, all of it small."""

from __future__ import annotations

import json
import sys
from itertools import product
from pathlib import Path

import pytest
from click.testing import CliRunner

pytest.importorskip("jax", reason="teaching needs the extra 'teach'")
sys.path.insert(0, str(Path(__file__).resolve().parent))

from small_network import small_base

from dictate.cli import main
from dictate.entail.entailment import Entailment, manifest
from dictate.errors import ModelError
from dictate.teach.entail_files import read_judged
from dictate.teach.entail_train import Settings, shown, teach, weigh_all
from dictate.teach.open_network import cut_base

MUSCLES = ("deltoid", "biceps", "triceps", "grip")
SIDES = ("right", "left")
_SHORT = ("--layers", "1", "--turns", "2")
GRADES = ("two", "three", "four", "five")


#: Ways to say it, so that each grade is taught often enough to be known.
WAYS = ("{s} {m} {g}.", "{m} {g} {s}.", "{m} {s} {g}.")


def _pairs(file: Path) -> Path:
    """Lines of one muscle: they mean their own side and no other."""
    with file.open("w") as out:
        for way, muscle, side, grade, other in product(WAYS, MUSCLES, SIDES, GRADES, SIDES):
            told = {
                "before": [], "text": way.format(s=side, m=muscle, g=grade), "at": 0,
                "phrase": f"{other} {muscle} {grade}", "test": "strength",
                "value": grade, "right": side == other, "weight": 1.0,
            }  # fmt: skip
            out.write(json.dumps(told) + "\n")
    return file


@pytest.fixture(scope="module")
def taught(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path, Path]:
    """The folder of weights, the pairs, and the open network."""
    folder = tmp_path_factory.mktemp("taught")
    base = small_base(folder / "base", (*MUSCLES, *SIDES, *GRADES))
    judged = _pairs(folder / "judged.jsonl")
    result = CliRunner().invoke(
        main,
        ["teach-entailment", str(judged), str(folder / "out"), "--base", str(base), *_SHORT],
    )
    assert result.exit_code == 0, result.output
    return folder / "out", judged, base


def test_the_program_runs_from_what_was_taught(taught: tuple[Path, Path, Path]) -> None:
    folder, judged, base = taught
    pairs = [one.pair for one in read_judged(judged)]
    texts = [part for pair in pairs for part in (pair.text, pair.phrase)]
    weights, _ = cut_base(base, texts)
    params = teach(
        weights, folder / "tokenizer.json", read_judged(judged), Settings(layers=1, turns=2)
    )
    from dictate.entail import entailment as module

    exact = weigh_all(params, folder / "tokenizer.json", [module.levelled(p) for p in pairs], 16)
    run = Entailment(folder).weigh(pairs)
    # eight bits instead of thirty-two: the same but for a little
    assert run == pytest.approx(exact, abs=0.05)


def test_the_manifest_says_what_it_came_from(taught: tuple[Path, Path, Path]) -> None:
    told = manifest(taught[0])
    assert told["pairs"] == len(read_judged(taught[1]))
    assert told["taught"] == {"strength": sorted(GRADES)}
    assert len(told["base_sha256"]) == len(told["judged_sha256"]) == 64


def test_what_was_not_taught_is_not_known(taught: tuple[Path, Path, Path]) -> None:
    network = Entailment(taught[0])
    assert network.knows("strength", "four")
    assert not network.knows("strength", "six")
    assert not network.knows("tone", "four")


def test_enough_teaching_tells_the_sides_apart(taught: tuple[Path, Path, Path]) -> None:
    """It learns at all: the loss of what is wrong falls, and each pair comes out as it is."""
    _, judged, base = taught
    pairs = read_judged(judged)
    weights, _ = cut_base(base, [one.pair.text for one in pairs])
    vocabulary = taught[0] / "tokenizer.json"
    settings = Settings(layers=1, turns=60, batch=32, rate=5e-3)
    params = teach(weights, vocabulary, pairs, settings)
    found = weigh_all(params, vocabulary, [one.pair for one in pairs], 64)
    right = sum((z > 0) == one.right for z, one in zip(found, pairs, strict=True))
    assert right >= 0.9 * len(pairs)


def test_a_pair_is_shown_without_marks_and_mirrored(taught: tuple[Path, Path, Path]) -> None:
    pair = read_judged(taught[1])[0].pair
    assert shown(pair, 1).text == "right deltoid two"
    assert shown(pair, 2).text == "left deltoid two."
    assert shown(pair, 2).phrase == "left deltoid two"


def test_a_line_that_is_no_pair_is_named(tmp_path: Path) -> None:
    file = tmp_path / "judged.jsonl"
    file.write_text('{"before": []}\n')
    with pytest.raises(ModelError, match="Line 1 of judged"):
        read_judged(file)


def test_a_folder_without_the_open_network_is_said(tmp_path: Path) -> None:
    with pytest.raises(ModelError, match="holds no open network"):
        cut_base(tmp_path, [])
