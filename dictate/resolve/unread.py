"""What stands beside the findings of an utterance, denies or was not done, and was not read.

"Tone normal, not in the legs": a denial with a place, a name or a side of which neither a finding
nor a question of the utterance took a word. Left alone it would be dropped without a word, and the
record would say more than was said; so it is asked about.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.interpret.items import Item
from dictate.interpret.lexicon import Reading as Lent
from dictate.interpret.reader import Reading, Sentence
from dictate.interpret.statement import Statement
from dictate.resolve.passed_over import taken_up

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver

#: A clause ends here, whatever was read of it.
_BREAKS = frozenset({"comma", "stop", "colon", "but", "except", "replace", "take_back"})
_DENIES = frozenset({"deny", "denied", "not_tested", "unable"})
#: What may be denied: a thing, or a side of it.
_OF = frozenset({"target", "edge_site", "side"})
#: Talk, another's word or another time: nothing of it is a finding, denied or not.
_APART = frozenset(
    {"elsewhere", "reported", "account", "request", "symptom", "other_part", "you", "own"}
)


def ask_unread(resolver: Resolver, reading: Reading) -> bool:
    """Open a question for each run of words that denies something and is in nothing recorded.

    Args:
        resolver: It has read all sentences of the utterance, and not listed it yet.
        reading: The utterance.

    Returns:
        Whether a question was opened.
    """
    now = len(resolver.utterances)
    denied = any(item.kind in _DENIES for s in reading.sentences for item in s.row)
    if not denied or not any(entry.utterance == now for entry in resolver.entries):
        return False
    taken = _taken(resolver, reading)
    asked = False
    for sentence in reading.sentences:
        if sentence.talk is None:
            for row in _unread(sentence, taken):
                _ask(resolver, reading, row)
                asked = True
    return asked


def _taken(resolver: Resolver, reading: Reading) -> set[int]:
    """The tokens of an utterance that gave a finding or a question, also one that is settled."""
    places = taken_up(resolver, reading.utterance.id)
    return {
        i for i, token in enumerate(reading.tokens)
        if any(token.start < p.end and p.start < token.end for p in places)
    }  # fmt: skip


def _unread(sentence: Sentence, taken: set[int]) -> Iterator[list[Item]]:
    """Runs of items that nothing accounts for, with a denial and what it may be of."""
    run: list[Item] = []
    for item in (*sentence.row, Item("stop", 0, 0)):
        if item.kind in _BREAKS or not taken.isdisjoint(range(item.start, item.end)):
            if _denies(run):
                yield run
            run = []
        else:
            run.append(item)


def _denies(run: Sequence[Item]) -> bool:
    denied = any(item.kind in _DENIES for item in run)
    named = any(item.kind in _OF for item in run)
    return denied and named and not any(item.others & _APART for item in run)


def _ask(resolver: Resolver, reading: Reading, row: list[Item]) -> None:
    """What was found there; of the test that was found last, where the run names none."""
    found = [e.finding.test for e in resolver.entries if e.utterance == len(resolver.utterances)]
    st = Statement(spans=[(row[0].start, row[-1].end)])
    named = [replace(item) for item in row if item.kind not in _DENIES]
    for read in resolver.reader.statements(named):
        st.targets += read.targets
        st.side = st.side or read.side
    taken = resolver.grammar.sites_of(found[-1])
    for target in st.targets:
        bare = not (target.tests or target.signs)
        if bare and any(site.id in taken for site in target.sites):
            target.tests = [Lent("test", "", found[-1])]
    draft = resolver.drafter.draft(reading, st, resolver.holds)
    draft.tests = draft.tests or ([] if st.targets else found[-1:])
    draft.findings, draft.labels = [], []
    resolver.ask(reading, st, draft, draft.ask or ("value", []))
