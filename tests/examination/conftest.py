"""An examination that was heard, and short ways to look at it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from dictate.examination import Examination
from dictate.model import Record, Utterance

SAID = [
    "right deltoid four", "left biceps five", "reflexes two plus and symmetric", "deltoid three",
    "he keeps bees",
]  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "examination"


@pytest.fixture
def begin(folder: Path) -> Callable[..., Examination]:
    """Begins an examination with some statements."""

    def begun(*said: str) -> Examination:
        examination = Examination.create(folder)
        for number, text in enumerate(said or SAID, 1):
            examination.hear(Utterance(f"u{number}", text))
        return examination

    return begun


def rows(record: Record) -> list[tuple[str | None, str | None, str]]:
    """Site, side and value of each finding."""
    return [(f.site, f.side, f.value) for f in record.findings]


def same_when_read(examination: Examination) -> None:
    """What the folder says is what the program holds."""
    again = Examination.open(examination.folder, write=False)
    assert again.live() == examination.live()
    assert again.record() == examination.record()
    assert again.steps() == examination.steps()
