"""A test that is named once more, with no value, where the utterance says elsewhere what was found.

"Two-step commands, obeys. Comprehension normal, complex commands too": nothing is left to ask.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from dictate.interpret.statement import Statement
from dictate.resolve.context import Pending

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver

_Key = tuple[str, str | None, str | None]


def close(resolver: Resolver) -> None:
    """Take back the questions of this utterance that its own findings answer.

    Args:
        resolver: It has read all sentences of the utterance, and not listed it yet.
    """
    now = len(resolver.utterances)
    found: set[_Key] = {
        (e.finding.test, e.finding.site, e.finding.side)
        for e in resolver.entries
        if e.utterance == now
    }
    if not found:
        return
    for pending in [p for p in resolver.pending if p.utterance == now and _is_bare(p)]:
        asked = _asks_of(pending)
        if asked and all(_is_found(key, found) for key in asked):
            resolver.pending.remove(pending)
            resolver.waiting = None if resolver.waiting is pending else resolver.waiting


def _is_bare(pending: Pending) -> bool:
    """A name, and nothing else that may be what was found."""
    st: Statement | None = pending.statement
    if st is None or pending.question.kind != "value":
        return False
    said = st.values or st.not_done or st.denied or st.doubts or st.compared or st.parts
    return not (said or st.unknown or st.talk or st.hesitant or st.repeat or st.symmetric)


def _asks_of(pending: Pending) -> set[_Key]:
    """Of what it asks: by its choices, or by the tests that were named without a place."""
    offered: set[_Key] = {
        (f.test, f.site, f.side) for c in pending.question.choices for f in c.findings
    }
    st = pending.statement
    if offered or st is None or st.side or any(t.sites or t.side for t in st.targets):
        return offered
    return {(r.test, None, None) for t in st.targets for r in (*t.tests, *t.signs)}


def _is_found(key: _Key, found: set[_Key]) -> bool:
    """It was found there, or somewhere where no place was named."""
    test, site, side = key
    if side is None and site in (None, "all"):
        return any(other[0] == test for other in found)
    return key in found
