"""``dictate setup --check``: each listener hears the built-in sound."""

from __future__ import annotations

from pathlib import Path

import pytest

from dictate.recognise.model_check import SAID
from dictate.recognise.model_store import VARIABLE, find_model


def test_check_lets_each_listener_hear(run, monkeypatch: pytest.MonkeyPatch) -> None:
    if find_model() is None:
        pytest.skip("there is no speech model on this computer; 'dictate setup' brings it")
    monkeypatch.setattr("dictate.recognise.ear_store.wants_ear", lambda: False)
    result = run("setup", "--check")
    assert result.exit_code == 0, result.output
    for name in ("open", "taught"):
        assert f"The {name} listener heard: “{SAID}”." in result.stdout
    assert "adapted" not in result.stdout


@pytest.mark.parametrize("given", [(), ("--base", "weights"), ("--without",)])
def test_the_adapted_listener_is_brought_unless_one_goes_on_without(
    run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, given: tuple[str, ...]
) -> None:
    asked: list[Path | None] = []

    def bring_ear(base: Path | None, tell: object) -> Path:
        asked.append(base)
        return tmp_path / "ear"

    monkeypatch.setattr("dictate.recognise.model_store.bring_model", lambda *_: tmp_path / "vosk")
    monkeypatch.setattr("dictate.recognise.ear_store.bring_ear", bring_ear)
    result = run("setup", *given)
    assert result.exit_code == 0, result.output
    assert f"The speech model is in {tmp_path / 'vosk'}." in result.stdout
    assert asked == {0: [None], 2: [Path("weights")], 1: []}[len(given)]
    assert (f"The adapted listener is in {tmp_path / 'ear'}." in result.stdout) == bool(asked)


def test_check_without_a_model_says_what_to_do(
    run, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.delenv(VARIABLE, raising=False)
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "empty"))
    result = run("setup", "--check")
    assert result.exit_code == 5
    assert "dictate setup" in result.stderr
