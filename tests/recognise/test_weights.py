"""Files of weights: read back as they were written, and told from damaged ones."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from dictate.errors import ModelError
from dictate.recognise.adapter import merge
from dictate.recognise.weights import Weights, hashes, read_weights, write_weights

ONE = Weights(
    "WhisperSpec",
    3,
    {
        "decoder/a/weight": np.arange(12, dtype="<f2").reshape(4, 3),
        "encoder/b": np.asarray([1, 2], "<i2"),
        "heads": np.asarray(8, "<i2"),
    },
    (("x", "decoder/a/weight"),),
)


def test_what_is_written_is_read_back(tmp_path: Path) -> None:
    write_weights(ONE, tmp_path / "a.bin")
    found = read_weights(tmp_path / "a.bin")
    assert hashes(found) == hashes(ONE)
    assert (found.kind, found.revision, found.aliases) == (ONE.kind, ONE.revision, ONE.aliases)
    write_weights(found, tmp_path / "b.bin")
    assert (tmp_path / "a.bin").read_bytes() == (tmp_path / "b.bin").read_bytes()


def test_every_shorter_file_is_refused(tmp_path: Path) -> None:
    write_weights(ONE, tmp_path / "a.bin")
    whole = (tmp_path / "a.bin").read_bytes()
    for end in range(len(whole)):
        (tmp_path / "cut.bin").write_bytes(whole[:end])
        with pytest.raises(ModelError):
            read_weights(tmp_path / "cut.bin")


def test_merging_adds_the_product_in_a_fixed_order() -> None:
    draw = np.random.default_rng(1)
    down, up = (
        draw.standard_normal((2, 3)).astype("<f2"),
        draw.standard_normal((4, 2)).astype("<f2"),
    )
    adapter = Weights(
        "DictateAdapter", 1, {"decoder/a/weight/down": down, "decoder/a/weight/up": up}, ()
    )
    merged = merge(ONE, adapter).tensors
    weight = ONE.tensors["decoder/a/weight"].astype("<f4")
    for rank in range(2):
        weight = weight + np.multiply.outer(up[:, rank].astype("<f4"), down[rank].astype("<f4"))
    assert (merged["decoder/a/weight"] == weight.astype("<f2")).all()
    exact = ONE.tensors["decoder/a/weight"] + up.astype(float) @ down.astype(float)
    assert np.allclose(merged["decoder/a/weight"], exact, atol=0.01)
    assert (merged["encoder/b"] == ONE.tensors["encoder/b"]).all()


@pytest.mark.parametrize("shape", [(2, 4), (2, 3)])
def test_an_adapter_of_other_weights_is_refused(shape: tuple[int, int]) -> None:
    name = "decoder/a/weight" if shape == (2, 4) else "decoder/z/weight"
    tensors = {f"{name}/down": np.zeros(shape, "<f2"), f"{name}/up": np.zeros((4, 2), "<f2")}
    with pytest.raises(ModelError, match="other weights"):
        merge(ONE, Weights("DictateAdapter", 1, tensors, ()))
