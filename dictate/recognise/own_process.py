"""Runs what may crash, hang or print as it likes in a process of its own."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

from dictate.errors import ModelError


def run_python(code: str, arguments: list[str], patience_s: float, name: str) -> str:
    """Run Python code that may import dictate.

    Args:
        code: The program; it finds the arguments in ``sys.argv[1:]``.
        arguments: Its arguments.
        patience_s: Seconds after which it is ended.
        name: What to call it in a message.

    Returns:
        What it printed.

    Raises:
        ModelError: It failed, crashed or took too long; a clause without remedy.
    """
    return run_program([sys.executable, "-c", code, *arguments], patience_s, name)


def run_program(
    command: list[str], patience_s: float, name: str, folder: Path | None = None
) -> str:
    """Run a program; as ``run_python``.

    Args:
        command: The program and its arguments.
        patience_s: Seconds after which it is ended.
        name: What to call it in a message.
        folder: Where it runs; None for the current folder.

    Raises:
        ModelError: It failed, crashed or took too long; a clause without remedy.
    """
    packages = [str(Path(__file__).resolve().parents[2]), *(entry for entry in sys.path if entry)]
    try:
        done = subprocess.run(
            command,
            cwd=folder,
            env={**os.environ, "PYTHONPATH": os.pathsep.join(packages)},
            stdin=subprocess.DEVNULL,
            capture_output=True,
            encoding="utf-8",
            errors="replace",
            timeout=patience_s,
            check=False,
        )
    except subprocess.TimeoutExpired:
        raise ModelError(f"{name} took longer than {patience_s:.0f} seconds") from None
    except OSError as error:
        raise ModelError(f"{name} cannot be run ({error.strerror})") from None
    if done.returncode != 0:
        raise ModelError(f"{name} failed ({_tell_reason(done)})")
    return done.stdout


def _tell_reason(done: subprocess.CompletedProcess[str]) -> str:
    """The first line that names an error, else the last one: what a person can use."""
    if done.returncode < 0:
        return f"it crashed with signal {-done.returncode}"
    lines = [line.strip() for line in (done.stdout + done.stderr).splitlines() if line.strip()]
    errors = [line for line in lines if "ERROR" in line]
    return (errors or lines[-1:] or ["no reason given"])[0][:300]
