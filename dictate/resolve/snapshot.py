"""A narration as it was at one moment, to go back to: what an utterance *would* change."""

from __future__ import annotations

from dataclasses import fields
from typing import Any

from dictate.resolve.context import Entry, Pending
from dictate.resolve.resolver import Resolver

#: What a resolver is built with and does not change.
_FIXED = {"grammar", "reader", "drafter", "weight"}


class Snapshot:
    """Everything that hearing may change, kept so that the same objects get it back.

    Entries and open questions are changed in place and known by identity, so not the objects
    are copied but what they hold.
    """

    def __init__(self, resolver: Resolver) -> None:
        """Remember a narration as it is now."""
        self._resolver = resolver
        self._state = {name: _copy(value) for name, value in _state(resolver).items()}
        things: list[Entry | Pending] = [*resolver.entries, *resolver.pending, *resolver.run]
        self._held = [
            (thing, {f.name: _copy(getattr(thing, f.name)) for f in fields(thing)})
            for thing in things
        ]

    def restore(self) -> None:
        """Make the narration what it was."""
        for name in set(vars(self._resolver)) - set(self._state) - _FIXED:
            delattr(self._resolver, name)
        for name, value in self._state.items():
            setattr(self._resolver, name, value)
        for thing, held in self._held:
            for name, value in held.items():
                setattr(thing, name, value)


def _state(resolver: Resolver) -> dict[str, Any]:
    return {name: value for name, value in vars(resolver).items() if name not in _FIXED}


def _copy(value: Any) -> Any:
    """A list, dict or set of its own with the same things in it; holds by their own method."""
    if isinstance(value, list | dict | set) or hasattr(value, "copy"):
        return value.copy()
    return value
