"""A grade after a word: "tone is spastic in the legs, Ashworth two left, right one plus"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.interpret.statement import Statement
from dictate.resolve.context import Entry
from dictate.resolve.fit import fit

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver


def at_its_place(
    resolver: Resolver, st: Statement, last: Statement | None, taken: Sequence[Entry]
) -> None:
    """A grade of the test whose word was just said, and no place: it is of the place of the word.

    Args:
        resolver: The narration so far.
        st: A grade with the name of its test or scale; it gets the place.
        last: The statement with a name before it.
        taken: What the sentence gave so far.
    """
    found = taken[-1].finding if taken else None
    bare = bool(st.targets) and all(t.tests and not (t.sites or t.signs) for t in st.targets)
    if last is None or found is None or not bare or st.rest or not st.values or st.denied:
        return
    grammar = resolver.grammar
    spec = grammar.tests[found.test].values.get(found.value)
    fits = [fit(grammar, found.test, value) for value in st.values]
    own = {r.test for target in st.targets for r in target.tests} == {found.test}
    if spec is None or not own or not all(f and f.value in spec.along for f in fits):
        return
    sited = [target for target in last.targets if target.sites]
    if not sited or any(not (target.sites or target.tests) for target in last.targets):
        return
    name = st.targets[0]
    st.targets = [
        replace(
            name, sites=target.sites, side=name.side or (None if st.side else target.side),
            both=target.both and not (st.side or name.side), carried=target.carried,
        )
        for target in sited
    ]  # fmt: skip
    st.side = st.side or (None if name.side else last.side)
