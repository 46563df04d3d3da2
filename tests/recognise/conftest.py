"""The speech model and the third listener, where this computer has them; sources of sound."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from importlib.util import find_spec
from pathlib import Path

import pytest

from dictate.audio.source import AudioChunk
from dictate.errors import ModelError
from dictate.grammar import load_grammar
from dictate.recognise.model_store import find_model
from dictate.recognise.three import sayer
from dictate.recognise.whisper import WhisperListener, find_weights


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
def weights() -> Path:
    """The folder of the real weights of the third listener."""
    if find_spec("faster_whisper") is None:
        pytest.skip("the extra 'third' is not installed: pip install 'dictate[third]'")
    try:
        return find_weights()
    except ModelError as error:
        pytest.skip(f"there are no weights for a third listener here: {error}")


@pytest.fixture(scope="session")
def third(weights: Path) -> WhisperListener:
    """The real third listener."""
    return WhisperListener(weights, sayer(load_grammar()))


@pytest.fixture(scope="session")
def model_folder() -> Path:
    """The folder of the real speech model."""
    folder = find_model()
    if folder is None:
        pytest.skip("there is no speech model on this computer; 'dictate setup' brings it")
    return folder
