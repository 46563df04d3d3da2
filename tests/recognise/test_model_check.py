"""A model is heard before it is relied on; a damaged or foreign one is told in a sentence."""

from __future__ import annotations

import json
import shutil

import pytest

from dictate.errors import ModelError
from dictate.recognise import model_check
from dictate.recognise.model_check import SAID, check_hearing
from dictate.recognise.model_folder import FILE_LIST, check_folder, list_files


@pytest.fixture
def copy(tmp_path, model_folder):
    """A copy of the real model, with the list of its files."""
    folder = tmp_path / "model"
    shutil.copytree(model_folder, folder)
    list_files(folder)
    return folder


def test_the_real_model_hears_what_is_said(model_folder):
    checked = check_hearing(model_folder)
    assert checked.said == SAID
    assert checked.heard == SAID
    assert checked.seconds > 0


def test_a_model_that_hears_something_else(model_folder, monkeypatch):
    monkeypatch.setattr(model_check, "run_python", lambda *_: json.dumps("linker arm"))
    with pytest.raises(ModelError, match=r"heard 'linker arm' where .* English"):
        check_hearing(model_folder)


def test_one_changed_byte_is_found(copy):
    with (copy / "graph/HCLr.fst").open("r+b") as file:
        file.seek(1_000_000)
        byte = file.read(1)[0]
        file.seek(1_000_000)
        file.write(bytes([byte ^ 1]))
    check_folder(copy)
    with pytest.raises(ModelError, match=r"damaged: graph/HCLr\.fst has changed"):
        check_hearing(copy)


def test_what_makes_the_engine_crash_is_a_sentence(copy):
    (copy / FILE_LIST).unlink()  # else the list would show it
    with (copy / "graph/disambig_tid.int").open("r+b") as file:
        file.truncate(file.seek(0, 2) // 2)
    with pytest.raises(ModelError, match="cannot be used: loading and hearing failed"):
        check_hearing(copy)


@pytest.mark.parametrize("listing", ["", "[]", '{"a": 1}', "\x00"])
def test_a_damaged_list_of_files(copy, listing):
    (copy / FILE_LIST).write_text(listing)
    with pytest.raises(ModelError, match="damaged"):
        check_folder(copy)
