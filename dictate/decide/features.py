"""What the stage looks at: a dozen numbers of a proposal, each of them a reason to doubt it."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from dictate.decide.account import Accounts, Left
from dictate.grammar.load import Grammar
from dictate.interpret.reader import Reading, Sentence
from dictate.interpret.statement import Said, Statement
from dictate.model import Finding

#: What a feature counts at most: two words that nobody knows are hardly better than three.
MOST = 3.0
#: The features, each 0 where there is nothing to doubt, in the order in which they are printed.
NAMES = (
    "strange_inside",
    "strange_beside",
    "strange_joined",
    "telling_inside",
    "telling_beside",
    "telling_joined",
    "talk",
    "odd_value",
    "odd_denied",
    "test_not_named",
    "from_far",
    "from_near",
    "copied",
    "mended",
    "unpunctuated",
    "listed",
    "lay_words",
    "disagrees",
)
Features = dict[str, float]
#: Whether a value says something of a test.
Fits = Callable[[str, Said], bool]


@dataclass(frozen=True, slots=True)
class Proposal:
    """What a reader makes of one statement, before it is decided on.

    ``lay``: all of its names are words that anybody uses. ``disagrees``: a second way of reading
    the utterance does not come to it; None where there is no second one.
    """

    reading: Reading
    sentence: Sentence
    statement: Statement
    findings: tuple[Finding, ...]
    lay: bool = False
    disagrees: bool | None = None


def features_of(
    grammar: Grammar, accounts: Accounts, fits: Fits, proposal: Proposal
) -> tuple[Features, list[Left]]:
    """The features of a proposal, and the words that are left over.

    Args:
        grammar: What the reader knows.
        accounts: Accounts for the words.
        fits: Whether a value says something of a test.
        proposal: At least one finding.
    """
    reading, st, findings = proposal.reading, proposal.statement, proposal.findings
    left = accounts.left(reading, proposal.sentence, st, findings)
    out: Features = dict.fromkeys(NAMES, 0.0)
    for one in left:
        name = "talk" if one.kind == "talk" else f"{one.kind}_{one.where}"
        out[name] = min(MOST, out[name] + 1)
    if len(reading.utterance.hearings) > 1:
        # a word beside a statement, heard by one listener alone: how surely says resolve/unsure.py
        out["strange_beside"] = 0.0
    tests = {finding.test for finding in findings}
    odd = [v for v in st.values if not any(fits(test, v) for test in tests)]
    out["odd_value"] = min(MOST, float(len(odd)))
    out["odd_denied"] = float(
        bool(odd) and (st.denied or bool(st.not_done) or any(v.negated for v in odd))
    )
    named = {r.test for t in st.targets for r in (*t.tests, *t.signs, *t.sites)}
    named |= {r.test for v in st.values for r in v.readings}
    out["test_not_named"] = float(bool(tests - named))
    own = _own(proposal)
    borrowed = [p for f in findings for p in f.said if (p.utterance, p.start) not in own]
    out["from_far"] = float(any(p.utterance != reading.utterance.id for p in borrowed))
    out["from_near"] = float(any(p.utterance == reading.utterance.id for p in borrowed))
    out["copied"] = float(st.copied or (not st.targets and not st.value_first))
    out["mended"] = float(
        any(r.start < b and a < r.end for r in reading.repairs for a, b in _spans(st))
    )
    out["unpunctuated"] = min(MOST, float(_together(proposal)))
    out["listed"] = float(len(st.targets) > 1 or len(st.values) > 1)
    out["lay_words"] = float(proposal.lay)
    out["disagrees"] = float(bool(proposal.disagrees))
    return out, left


def _spans(st: Statement) -> Sequence[tuple[int, int]]:
    spans = [*st.spans, *st.details, *st.reasons, *(span for _, span in st.labels)]
    spans += [span for target in st.targets for span in target.spans]
    return spans + [span for value in st.values for span in value.spans]


def _own(proposal: Proposal) -> set[tuple[str, int]]:
    """Where the statement's own words begin, by utterance and character."""
    reading = proposal.reading
    tokens = {i for a, b in _spans(proposal.statement) for i in range(a, b)}
    return {(reading.utterance.id, reading.tokens[i].start) for i in tokens}


def _together(proposal: Proposal) -> int:
    """How many other statements share its clause, with no mark between them."""
    row, spans = proposal.sentence.row, _spans(proposal.statement)
    if not spans:
        return 0
    stops = [item.start for item in row if item.kind in {"comma", "stop", "colon"}]
    own = {bisect_right(stops, start) for start, _ in spans}
    # tokens of the clauses that it stands in: what lies outside of them shares none
    low = stops[min(own) - 1] if min(own) else 0
    high = stops[max(own)] if max(own) < len(stops) else row[-1].end
    together = 0
    for other in proposal.sentence.statements:
        if other is proposal.statement or not other.has_value:
            continue
        starts = [start for start, _ in _spans(other) if low <= start < high]
        together += any(bisect_right(stops, start) in own for start in starts)
        if together >= MOST:
            break
    return together
