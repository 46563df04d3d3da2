"""Every word of a statement accounted for: used by its reading, harmless, or left over.

A word is used where the reading took it for a name, a value, a side or a qualifier. A word is
harmless where the grammar knows that it joins and means nothing by itself, or where it stands in
the learned list of common/harmless.yaml. All others are left over: what they mean is not known,
and they may turn the statement round.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item
from dictate.interpret.predicate import is_denied
from dictate.interpret.reader import Reading, Sentence
from dictate.interpret.statement import Span, Statement
from dictate.model import Finding

#: ``strange``: nobody knows the word. ``telling``: it is known to turn a statement round or to
#: say something of its own, and this statement does not use it. ``talk``: it speaks to somebody.
Class = Literal["strange", "telling", "talk"]
#: ``inside``: between the first and the last word used; ``beside``: in the same clause;
#: ``joined``: in the clause before or after it.
Where = Literal["inside", "beside", "joined"]

_BREAKS = frozenset({"comma", "stop", "colon", "but", "except", "replace", "take_back", "and"})
_TELLING = frozenset(
    {"target", "edge_site", "value", "grade", "side", "deny", "denied", "not_tested", "unable"}
    | {"except", "swap", "doubt", "repeat"}
)
_TALK = frozenset({"you", "own", "instruct", "ask", "reported", "elsewhere", "account", "request"})


@dataclass(frozen=True, slots=True)
class Left:
    """A stretch of tokens that nothing accounts for; ``denied``: a denial stands before it."""

    span: Span
    kind: Class
    where: Where
    denied: bool = False


class Accounts:
    """Tells by one grammar which words of a statement are left over."""

    def __init__(self, grammar: Grammar) -> None:
        """Collect the harmless words.

        Args:
            grammar: Its ``harmless`` words change no meaning where they stand.
        """
        roman = (form for forms in grammar.numbers.roman.values() for form in forms)
        self._harmless = grammar.harmless.words() | {form.lower() for form in roman}

    def left(
        self, reading: Reading, sentence: Sentence, st: Statement, findings: Sequence[Finding]
    ) -> list[Left]:
        """What is left over of the words of a statement and of those around it.

        Args:
            reading: The utterance it stands in.
            sentence: The sentence it stands in.
            st: The statement.
            findings: What is proposed to be recorded of it.
        """
        row = sentence.row
        used = _used(st)
        at = _meeting(row, used)
        if not at:
            return []
        first, last = at[0], at[-1]
        low, high = _clause(row, first, last)
        near = _with_next(row, low, high)
        others = _used_by(_beside(sentence, st, row[near[0]].start, row[near[1] - 1].end))
        candidates = [
            (i, k) for i in range(*near) if (k := self._kind(reading, row, i, used, others))
        ]
        taken = _taken(reading, findings)
        found: list[Left] = []
        for i, kind in candidates:
            item = row[i]
            where: Where = "inside" if first <= i <= last else "beside"
            if not low <= i < high:
                where = "joined"
            if kind == "strange" and (_stimulus(row, i) or _explains(row, i, st, last)):
                continue
            if kind == "strange" and (_listed(row, i) or "foreign" in item.others):
                where = "joined"
            if kind != "telling" or not taken.intersection(range(item.start, item.end)):
                denied = kind == "strange" and is_denied(row, i)
                found.append(Left((item.start, item.end), kind, where, denied))
        return found

    def is_strange(self, reading: Reading, item: Item) -> bool:
        """Nobody knows the word, and it is not harmless.

        Args:
            reading: The utterance it stands in.
            item: One of its items.
        """
        if item.kind != "unknown" or item.end <= item.start:
            return False
        words = reading.norms((item.start, item.end))
        return not all(w in self._harmless or not any(map(str.isalnum, w)) for w in words)

    def _kind(
        self, reading: Reading, row: Sequence[Item], i: int, used: set[int], others: set[int]
    ) -> Class | None:
        item = row[i]
        if item.end <= item.start:
            return None
        tokens = range(item.start, item.end)
        if item.kind in _TELLING:
            free = others.isdisjoint(tokens)
            names = item.kind == "target" and used.isdisjoint(tokens) and "section" in item.others
            return "telling" if free and not names else None
        if item.kind == "unknown":
            free = used.isdisjoint(tokens) and others.isdisjoint(tokens)
            strange = self.is_strange(reading, item) or is_denied(row, i)
            return "strange" if free and strange else None
        if item.kind == "talk" or (item.others & _TALK and item.kind != "glue"):
            free = used.isdisjoint(tokens) and others.isdisjoint(tokens)
            return "talk" if free else None
        return None


def _stimulus(row: Sequence[Item], i: int) -> bool:
    """ "Intact to vanilla": what it was tried with; "to the flurb" would be where."""
    before = row[i - 1] if i else None
    return before is not None and before.kind == "edge" and "range" in before.others


def _explains(row: Sequence[Item], i: int, st: Statement, last: int) -> bool:
    """Why it was not done, or what follows "because of" up to the next pause."""
    if st.not_done and i > last and not st.copied:
        return True
    ends = [end for _, end in st.reasons if end <= row[i].start]
    between = [x.kind for x in row[:i] if ends and x.start >= max(ends)]
    return bool(ends) and not _BREAKS & set(between)


def _listed(row: Sequence[Item], i: int) -> bool:
    """ "No drift, rash or tremor": one more item of a list, that nobody here knows."""
    low, high = i, i + 1
    while low and row[low - 1].kind not in _BREAKS:
        low -= 1
    while high < len(row) and row[high].kind not in _BREAKS:
        high += 1
    alone = all(x.kind in {"unknown", "glue", "degree", "quality"} for x in row[low:high])
    denied = any(x.kind == "deny" for x in row[:low])
    return alone and denied and low > 0


def _used(st: Statement) -> set[int]:
    spans: list[Span] = [*st.spans, *st.details, *st.reasons, *st.compared, *st.doubts]
    spans += [span for target in st.targets for span in target.spans]
    spans += [span for value in st.values for span in value.spans]
    spans += [span for _, span in st.labels]
    return {i for start, end in spans for i in range(start, end)}


def _used_by(statements: Iterable[Statement]) -> set[int]:
    return {i for st in statements for i in _used(st)}


def _meeting(row: Sequence[Item], used: set[int]) -> list[int]:
    """Where in the row the used tokens stand."""
    if not used:
        return []
    low = max(bisect_right(row, min(used), key=lambda item: item.start) - 1, 0)
    high = bisect_right(row, max(used), key=lambda item: item.start)
    return [i for i in range(low, high) if not used.isdisjoint(range(row[i].start, row[i].end))]


def _clause(row: Sequence[Item], first: int, last: int) -> tuple[int, int]:
    low, high = first, last + 1
    while low > 0 and row[low - 1].kind not in _BREAKS:
        low -= 1
    while high < len(row) and row[high].kind not in _BREAKS:
        high += 1
    return low, high


def _with_next(row: Sequence[Item], low: int, high: int) -> tuple[int, int]:
    """A clause with the one right before and the one right after it."""

    def beyond(at: int, step: int) -> int:
        breaks = 0
        while 0 <= at < len(row):
            breaks += row[at].kind in _BREAKS
            if breaks > 1:
                break
            at += step
        return at

    return beyond(low - 1, -1) + 1, beyond(high, 1)


def _beside(sentence: Sentence, st: Statement, start: int, end: int) -> Iterator[Statement]:
    """The other statements of a sentence that have a word in a stretch of it."""
    for other in sentence.statements:
        spans = other.spans or [(start, end)]
        if other is not st and any(a < end and start < b for a, b in spans):
            yield other


def _taken(reading: Reading, findings: Sequence[Finding]) -> set[int]:
    """Tokens that some finding was taken from."""
    spots = [
        (place.start, place.end)
        for finding in findings
        for place in finding.said
        if place.utterance == reading.utterance.id
    ]
    tokens = reading.tokens
    found: set[int] = set()
    for start, end in spots:
        low = bisect_right(tokens, start, key=lambda token: token.end)
        high = bisect_left(tokens, end, key=lambda token: token.start)
        found.update(range(low, high))
    return found
