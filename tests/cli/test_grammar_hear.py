"""`dictate grammar hear` proposes spellings; `dictate grammar check` names what nothing hears."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
import yaml

from dictate.recognise.model_store import VARIABLE, find_model

GRAMMARS = Path(__file__).resolve().parents[2] / "grammars"


@pytest.fixture
def strange(folder: Path) -> Path:
    """The same with a word that no model knows."""
    area = (folder / "gait.yaml").read_text(encoding="utf-8")
    assert "spoken: [gait" in area
    changed = area.replace("spoken: [gait", "spoken: [zibzabber, gait", 1)
    (folder / "gait.yaml").write_text(changed, encoding="utf-8")
    return folder


@pytest.fixture
def model() -> None:
    """These tests need the model's lexicon."""
    if find_model() is None:
        pytest.skip("there is no speech model on this computer; 'dictate setup' brings it")


@pytest.fixture
def no_model(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """No model is on this computer."""
    monkeypatch.delenv(VARIABLE, raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "empty"))


def test_check_names_a_word_that_nothing_can_hear(run, strange: Path, model) -> None:
    result = run("grammar", "check", strange)
    assert result.exit_code == 0, result.output
    assert "Nothing can hear 'zibzabber'" in result.stdout
    assert "common/heard_as.yaml" in result.stdout
    assert "1 words or spellings" in result.stdout


def test_check_names_a_spelling_that_the_model_cannot_hear(run, strange: Path, model) -> None:
    with (strange / "common" / "heard_as.yaml").open("a", encoding="utf-8") as file:
        file.write("  zibzabber: [zip qwertzu, zip jabber]\n")
    result = run("grammar", "check", strange)
    assert "'zip qwertzu' of 'zibzabber'" in result.stdout
    assert "Nothing can hear" not in result.stdout


def test_check_without_a_model_says_what_was_not_checked(run, strange: Path, no_model) -> None:
    result = run("grammar", "check", strange)
    assert result.exit_code == 0
    assert "was not checked" in result.stdout and "dictate setup" in result.stdout
    assert "zibzabber" not in result.stdout


def test_all_of_the_grammar_can_be_heard(run, model) -> None:
    result = run("grammar", "check")
    assert "0 words or spellings that nothing can hear" in result.stdout


def test_hear_proposes_entries_to_paste(run, model) -> None:
    pytest.importorskip("pocketsphinx", reason="the pronouncing dictionary is not installed")
    result = run("grammar", "hear", "zibzab", "--sounds", "Z IH B Z AE B")
    assert result.exit_code == 0, result.output
    entry = yaml.safe_load("heard_as:\n" + result.stdout)["heard_as"]
    assert list(entry) == ["zibzab"]
    assert 1 <= len(entry["zibzab"]) <= 3


def test_hear_finds_the_missing_words_itself(run, strange: Path, model) -> None:
    pytest.importorskip("pocketsphinx", reason="the pronouncing dictionary is not installed")
    if shutil.which("espeak-ng") is None:
        pytest.skip("the speech synthesiser espeak-ng is not installed")
    result = run("grammar", "hear", "--grammar", strange)
    assert result.exit_code == 0, result.output
    assert result.stdout.strip().startswith("zibzabber: [")


@pytest.mark.parametrize(
    "arguments", [["clonus", "--sounds", "K QQ"], ["--sounds", "K L"], ["a", "b", "--sounds", "K"]]
)
def test_hear_with_wrong_sounds(run, one_sentence, arguments: list[str]) -> None:
    result = run("grammar", "hear", *arguments)
    assert result.exit_code == 2
    one_sentence(result)


def test_hear_without_a_model(run, one_sentence, no_model) -> None:
    assert "dictate setup" in one_sentence(run("grammar", "hear", "clonus"))
