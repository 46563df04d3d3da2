"""The speech model, where this computer has one, and sources of sound."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from dictate.audio.source import AudioChunk
from dictate.recognise.model_store import find_model


class Pieces:
    """A source of given chunks."""

    def __init__(self, chunks: list[AudioChunk]) -> None:
        self.notices: list[str] = []
        self.duration_s = sum(chunk.duration_s for chunk in chunks)
        self._chunks = chunks

    def chunks(self) -> Iterator[AudioChunk]:
        yield from self._chunks


@pytest.fixture
def pieces() -> Callable[[list[AudioChunk]], Pieces]:
    """Makes a source of chunks."""
    return Pieces


@pytest.fixture(scope="session")
def model_folder() -> Path:
    """The folder of the real speech model."""
    folder = find_model()
    if folder is None:
        pytest.skip("there is no speech model on this computer; 'dictate setup' brings it")
    return folder
