"""A narration so far once more: what an utterance *would* change, or would have meant."""

from __future__ import annotations

import copy
from typing import Any

from dictate.resolve.resolver import Resolver

#: What a resolver is built with and does not change.
_FIXED = {"grammar", "reader", "drafter", "weight", "stage", "weigher", "reteller"}


def fork(resolver: Resolver) -> Resolver:
    """The narration so far once more, to be gone on with apart from the first.

    Entries and open questions are changed in place and known by identity, so each gets a twin,
    and what pointed to it points to the twin.

    Args:
        resolver: It stays as it is, whatever becomes of the other one.
    """
    twin = copy.copy(resolver)
    for name, value in state_of(resolver).items():
        if isinstance(value, list | dict | set) or hasattr(value, "copy"):
            setattr(twin, name, value.copy())
    known = [*resolver.entries, *resolver.run, *resolver.last_taken]
    entries = {id(entry): entry.twin() for entry in known}
    twin.entries = [entries[id(entry)] for entry in resolver.entries]
    twin.run = [entries[id(entry)] for entry in resolver.run]
    twin.last_taken = [entries[id(entry)] for entry in resolver.last_taken]
    pending = {id(one): one.twin() for one in resolver.pending}
    twin.pending = [pending[id(one)] for one in resolver.pending]
    twin.waiting = pending.get(id(resolver.waiting))
    twin.filled = pending.get(id(resolver.filled), resolver.filled)
    return twin


def state_of(resolver: Resolver) -> dict[str, Any]:
    """All that hearing may change, by name."""
    return {name: value for name, value in vars(resolver).items() if name not in _FIXED}
