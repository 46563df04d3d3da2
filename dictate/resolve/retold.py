"""What the network that retells says by itself, where the readers are at odds or lost.

It is listened to only for a whole test: where each finding of that test that it tells of the
utterance is very sure, by both networks, and says something of each place that is asked about.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from dictate.grammar.load import Grammar
from dictate.model import Finding, Place, Question, QuestionKind
from dictate.resolve.context import Pending
from dictate.resolve.fit import is_normal, side_rule, takes
from dictate.resolve.strange import Key, key_of
from dictate.retell.words import Row

#: What of it may be answered so: which side, site or test was meant is the examiner's to say.
_ASKED: frozenset[QuestionKind] = frozenset({"value"})


@dataclass(frozen=True, slots=True)
class Retold:
    """What is very sure.

    ``of``: all findings of those tests of which all are sure. ``clear``: there is no other.
    """

    of: Mapping[str, Sequence[Finding]]
    clear: bool

    def answers(self, question: Question) -> bool:
        """Whether it says all that a question asks about."""
        offered = [finding for choice in question.choices for finding in choice.findings]
        tests = {finding.test for finding in offered}
        if question.kind not in _ASKED or not tests or not tests & self.of.keys():
            return False
        if not tests <= self.of.keys():
            return False
        return self.covers(offered)

    def about(self, question: Question) -> list[Finding]:
        """What it says of the tests of a question."""
        tests = {finding.test for choice in question.choices for finding in choice.findings}
        return [finding for test in sorted(tests) for finding in self.of.get(test, ())]

    def without(self, findings: Iterable[Finding]) -> Retold:
        """The same without the tests of which one of these is told."""
        keys = {key_of(finding) for finding in findings}
        left = {t: fs for t, fs in self.of.items() if keys.isdisjoint(map(key_of, fs))}
        return Retold(left, self.clear and len(left) == len(self.of))

    def covers(self, findings: Iterable[Finding]) -> bool:
        """Whether it says something of each place of these."""
        told = [finding for of_test in self.of.values() for finding in of_test]
        places = {(finding.test, finding.site) for finding in told}
        return all((finding.test, finding.site) in places for finding in findings)


def as_finding(grammar: Grammar, row: Row, said: Place) -> Finding | None:
    """A retold finding as the record holds it; None where it can be none.

    Args:
        grammar: Has the tests.
        row: As it was retold.
        said: Where in the utterance.
    """
    test, site, side, value = row
    if test not in grammar.tests or not takes(grammar, test, value):
        return None
    sites = grammar.sites_of(test)
    if (site is None) != (not sites) or (site is not None and site not in sites):
        return None
    normal, rule = is_normal(grammar, test, value), side_rule(grammar, test, site, value)
    lacks = rule == "needed" or (rule == "abnormal" and not normal)
    if (side is None and lacks) or (side is not None and rule == "none"):
        return None
    return Finding(test, site, side, value, normal=normal, said=(said,))  # type: ignore[arg-type]


def missing(told: Iterable[Finding], there: Iterable[Key]) -> list[Finding]:
    """Those that the record does not have, whether for a side or for none."""
    have = set(there)
    sideless = {(test, site, value) for test, site, side, value in have if side is None}
    sided = {(test, site, value) for test, site, side, value in have if side is not None}
    return [
        f
        for f in told
        if key_of(f) not in have
        and (f.test, f.site, f.value) not in (sided if f.side is None else sideless)
    ]


def open_of(news: Sequence[Pending], pending: Sequence[Pending]) -> list[Pending]:
    """Questions that were just opened and are open still."""
    still = {id(one) for one in pending}
    return [one for one in news if id(one) in still]
