"""What a recogniser is, and the table of those that there are.

To add one, write a class with a ``name`` and ``utterances``, and add a line to RECOGNISERS and
its way of being fed to ``tests/recognise/test_contract.py``.
"""

from __future__ import annotations

from collections.abc import Iterator
from importlib import import_module
from typing import Any, Protocol, TypeVar

from dictate.errors import UsageError
from dictate.model import Utterance

#: What a recogniser hears from: sound, typed text, a file of saved words.
Heard = TypeVar("Heard", contravariant=True)

#: Name of a recogniser, and the class to import when it is asked for (module, class).
RECOGNISERS: dict[str, tuple[str, str]] = {
    "typed": ("dictate.recognise.typed", "TypedRecogniser"),
    "replay": ("dictate.recognise.replay", "ReplayRecogniser"),
    "vosk": ("dictate.recognise.vosk", "VoskRecogniser"),
    "pair": ("dictate.recognise.pair", "PairRecogniser"),
    "three": ("dictate.recognise.three", "ThreeRecogniser"),
}


class Recogniser(Protocol[Heard]):
    """Turns what it is given into utterances, in order, leaving nothing out."""

    @property
    def name(self) -> str:
        """Its name in RECOGNISERS."""
        ...

    def utterances(self, source: Heard) -> Iterator[Utterance]:
        """Yield each utterance as soon as it is complete, with the ids u1, u2, ...

        Args:
            source: What it hears from.

        Raises:
            InputError: The source cannot be read.
            ModelError: The speech model fails.
        """
        ...


def find_recogniser(name: str) -> type[Any]:
    """Import the class of a recogniser.

    Args:
        name: Its name in RECOGNISERS.

    Raises:
        UsageError: There is none of that name.
    """
    if name not in RECOGNISERS:
        known = ", ".join(sorted(RECOGNISERS))
        raise UsageError(f"There is no recogniser called {name!r}. Name one of: {known}.")
    module, attribute = RECOGNISERS[name]
    found: type[Any] = getattr(import_module(module), attribute)
    return found
