"""Runs the command line, in this process or in one of its own."""

from __future__ import annotations

import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from dictate.cli import main

ROOT = Path(__file__).resolve().parents[2]
GRAMMARS = ROOT / "grammars"


@pytest.fixture
def run() -> Callable[..., Result]:
    """Runs a command here; an exception of ours or of others would show in the result."""

    def ran(*arguments: str | Path, text: str | bytes | None = None) -> Result:
        return CliRunner().invoke(main, [str(argument) for argument in arguments], input=text)

    return ran


@pytest.fixture
def start() -> Callable[..., subprocess.CompletedProcess[str]]:
    """Runs a command as a process of its own, as a user does."""

    def started(
        *arguments: str | Path, text: str = "", seconds: float = 120
    ) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, "-m", "dictate", *map(str, arguments)],
            input=text,
            capture_output=True,
            text=True,
            timeout=seconds,
            cwd=ROOT,
            check=False,
        )

    return started


@pytest.fixture
def one_sentence() -> Callable[[Result], str]:
    """Checks that a command failed with a plain message, and gives the message."""

    def checked(result: Result) -> str:
        assert result.exit_code not in (0, 1)
        assert isinstance(result.exception, SystemExit), result.exception
        assert result.stdout == ""
        said = result.stderr.strip()
        assert said and "\n" not in said
        assert "Traceback" not in said and "Error" not in said
        assert said.endswith(".")
        return said

    return checked


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A copy of the common words with one small area, so that a check is quick."""
    whole = tmp_path / "grammar"
    shutil.copytree(GRAMMARS / "common", whole / "common")
    shutil.copy(GRAMMARS / "gait.yaml", whole / "gait.yaml")
    return whole
