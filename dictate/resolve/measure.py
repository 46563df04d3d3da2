"""What is of the place just named: "spastic in the legs, Ashworth two", "with clonus"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.interpret.beside import forms
from dictate.interpret.reader import Sentence
from dictate.interpret.statement import Statement
from dictate.interpret.tokens import norms
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


def comes_with(
    resolver: Resolver, sentence: Sentence, st: Statement, last: Statement | None,
    taken: Sequence[Entry],
) -> None:  # fmt: skip
    """ "Ankle jerks four plus with clonus": a sign after "with" is where that was found.

    Args:
        resolver: The narration so far.
        sentence: The sentence.
        st: A sign without a place; it gets the place, and the side where it has none.
        last: The statement with a name before it.
        taken: What the sentence gave so far.
    """
    found = taken[-1].finding if taken else None
    name = st.targets[0] if len(st.targets) == 1 else None
    if name is None or found is None or last is None or st.denied or st.values or st.rest:
        return
    signs = [r for r in (*name.tests, *name.signs) if r.id]
    tests = {r.test for r in signs}
    if name.sites or not signs or len(tests) != 1 or found.test in tests:
        return
    test = tests.pop()
    sites = [target.sites for target in last.targets if target.sites]
    if found.site not in resolver.grammar.sites_of(test) or len(sites) != 1:
        return
    if not _with(resolver, sentence, name.spans[0][0] if name.spans else 0):
        return
    name.sites, name.placed = sites[0], True
    if not (st.side or name.side):
        same = {e.finding.side for e in taken if e.finding.site == found.site}
        st.side = "both" if same >= {"right", "left"} else found.side


def _with(resolver: Resolver, sentence: Sentence, start: int) -> bool:
    """The word before a name, and before what says how much of it there is, is "with"."""
    words = forms(resolver.grammar, "only_place")
    between = {"glue", "detail", "degree", "quality"}
    before = [item for item in sentence.row if item.end <= start and item.kind not in between]
    return bool(before) and norms(before[-1].text) in words
