"""What the two readers do not agree on is weighed: two more opinions, which propose nothing.

A finding is recorded where both readers come to it. What only one comes to is recorded too where
it is sure enough: one network was taught to tell whether a line means a finding
(``dictate.entail``), another retells the line as findings without being shown any
(``dictate.retell``), and what the two say makes one number. It must be higher the less the other
reader says for the finding. What both readers come to is asked about where the number is very low.
The networks never bring in a finding of their own, and they are not asked about a conflict, about
a denial that is left over, about words that were perhaps misheard, or about what no reader comes
to: such questions are the examiner's. Nor is weighed what stands beside a word that neither the
grammar nor the networks know.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import islice
from math import log
from typing import Protocol

from dictate.entail.pairs import UTTERANCES, Pair
from dictate.faults import note_fault
from dictate.grammar.load import Grammar
from dictate.grammar.wording import finding_phrase
from dictate.interpret.reader import Reading
from dictate.model import Finding, Place, Question, QuestionKind, Utterance, UtteranceKind
from dictate.resolve.fit import NOT_DONE
from dictate.resolve.retold import Retold, as_finding
from dictate.resolve.strange import Key, key_of
from dictate.retell.lines import CONTEXT, Line
from dictate.retell.retelling import Told

#: Questions that the contract demands whatever anybody thinks of the answer.
_THE_EXAMINERS: frozenset[QuestionKind] = frozenset({"conflict", "heard", "site", "referent"})
#: What the choices of these differ in is of what was found, and not the value.
_OF_PLACES: frozenset[QuestionKind] = frozenset({"side", "test"})
#: So many utterances back at most lies what tells of this one.
_BACK = 60
#: What was said to no purpose of the record: it tells nothing of what comes after it.
_ASIDE: frozenset[UtteranceKind | None] = frozenset({"remark", "command", "by_patient"})
_WORD = re.compile(r"\w+")
#: So many words from a finding's own a word belongs to it perhaps.
_NEAR = 3
#: Surer than anything is; and what it says of what it was not taught: nothing.
_NEVER, _UNKNOWN = 99.0, 0.0
#: What is told so likely was understood, and what is told less likely than that was not said.
_SURELY, _NO_MORE = 0.9, 0.05
#: Nothing that is retold is likelier than one less this.
_LEAST = 0.002
#: Where something must be asked about so likely, nothing is answered.
_ASKS = 0.1


class Weigher(Protocol):
    """Tells how surely utterances mean findings (``dictate.entail.Entailment``)."""

    def knows(self, test: str, value: str) -> bool:
        """Whether it was taught what lines that mean this value of a test are like."""

    def reads(self, word: str) -> bool:
        """Whether it has a word of its own for it, and does not spell it."""

    def weigh(self, pairs: Sequence[Pair]) -> list[float]:
        """A number for each pair: over 0 for yes, under 0 for no."""


class Reteller(Protocol):
    """Tells utterances again as findings (``dictate.retell.Retelling``)."""

    def knows(self, test: str, value: str) -> bool:
        """Whether it was taught what lines that mean this value of a test are like."""

    def retell(self, lines: Sequence[Line]) -> list[Told | None]:
        """Each line as findings; None for one that is too long."""


class Weighed:
    """What one utterance says of findings, each weighed once."""

    def __init__(
        self, grammar: Grammar, weigher: Weigher | None, said: Sequence[Utterance],
        utterance: Utterance, reteller: Reteller | None = None,
    ) -> None:  # fmt: skip
        """Weigh nothing yet.

        Args:
            grammar: Has the limits, and the words of findings.
            weigher: None where there is none: then nothing is sure.
            said: The utterances before it.
            utterance: What was just said.
            reteller: None where there is none: then less is sure.
        """
        self._grammar, self._weigher, self._utterance = grammar, weigher, utterance
        self._reteller = reteller
        self._line = Line(tuple(one.text for one in said[-CONTEXT:]), utterance.text)
        self._told: list[Told | None] | None = None
        near = reversed(said[-_BACK:])
        told = [*islice((one.text for one in near if one.kind not in _ASIDE), UTTERANCES)]
        self._before = tuple(reversed(told))
        self._found: dict[Key, float] = {}
        self._alone: dict[Key, float] = {}
        self._strange: list[tuple[int, int]] = []
        self.limits = grammar.deciding.weighing

    @property
    def can(self) -> bool:
        """Whether there is anything to weigh with, and the words are sure."""
        return self._weigher is not None and not self._utterance.disputed

    def look_at(self, reading: Reading) -> None:
        """See where the line has a word that nobody knows: what stands beside it is not weighed.

        Args:
            reading: What the grammar knows of it.
        """
        weigher = self._weigher
        if weigher is None:
            return
        for sentence in reading.sentences:
            for item in sentence.row:
                if item.kind != "unknown" or item.end <= item.start:
                    continue
                start, end = reading.chars((item.start, item.end))
                words = _WORD.findall(reading.utterance.text[start:end])
                if not all(map(weigher.reads, words)):
                    self._strange.append((start, end))

    def weigh(self, findings: Iterable[Finding]) -> None:
        """Weigh several findings at once, which is cheaper than one by one.

        Where the network fails, it is sure of nothing, and what it was to settle is asked.
        """
        new = {key_of(f): f for f in findings if key_of(f) not in self._found}
        if self._weigher is None:
            return
        try:
            self._weigh_pairs(new)
            told = self._retold() if new else None
            for key, finding in new.items():
                self._found[key] = self._together(finding, self._alone[key], told)
        except Exception as fault:
            note_fault(fault)
            self._found.update(dict.fromkeys(new, _UNKNOWN))

    def _weigh_pairs(self, findings: Mapping[Key, Finding]) -> None:
        """What the network that weighs says of each by itself."""
        new = {key: f for key, f in findings.items() if key not in self._alone}
        if self._weigher is None or not new:
            return
        taught = {k: f for k, f in new.items() if self._weigher.knows(k[0], k[3])}
        pairs = [
            Pair(self._before, self._utterance.text, self._phrase(f), self._at(f))
            for f in taught.values()
        ]
        self._alone.update(dict.fromkeys(new, _UNKNOWN))
        self._alone.update(zip(taught, self._weigher.weigh(pairs) if pairs else (), strict=True))

    def taught(self, findings: Iterable[Finding]) -> bool:
        """Whether the networks that retell know what lines that mean these are like."""
        known = self._reteller
        return known is not None and all(known.knows(f.test, f.value) for f in findings)

    def told(self) -> Told | None:
        """The utterance retold; None where it cannot be, or something of it must be asked."""
        try:
            told = self._retold() if self.can else None
        except Exception as fault:
            note_fault(fault)
            return None
        return None if told is None or told.ask > _ASKS else told

    def clear(self, said: Place) -> dict[Key, Finding] | None:
        """All of the utterance as it is retold, where nothing of that is doubtful; else None.

        Args:
            said: The place in the utterance that the findings are of.
        """
        told = self.told()
        if told is None or self._reteller is None or not told.said:
            return None
        if not _sure(told):
            return None
        found = dict[Key, Finding]()
        for row in told.said:
            finding = as_finding(self._grammar, row, said)
            if finding is None or not self._reteller.knows(row[0], row[3]):
                return None
            found[key_of(finding)] = finding
        # two values of one part, each told surely: which holds is not the networks' to say
        return found if len({key[:3] for key in found}) == len(found) else None

    def retold(self, said: Place) -> Retold | None:
        """What the utterance was retold as, as far as that is very sure; None where nothing was.

        Args:
            said: The place in the utterance that the findings are of.
        """
        told = self.told()
        if told is None or self._reteller is None:
            return None
        found: dict[str, list[Finding]] = {}
        unsure: set[str] = set()
        for row in told.rows:
            finding = as_finding(self._grammar, row, said)
            twice = sum(other[:3] == row[:3] for other in told.rows) > 1
            known = self._reteller.knows(row[0], row[3]) and not twice
            if finding is None or not known or self.least([finding]) < self.limits.retold:
                unsure.add(row[0])
            else:
                found.setdefault(row[0], []).append(finding)
        return Retold({t: f for t, f in found.items() if t not in unsure}, not unsure)

    def _retold(self) -> Told | None:
        """The utterance retold, once; None where it cannot be."""
        if self._told is None and self._reteller is not None:
            self._told = self._reteller.retell([self._line])
        return self._told[0] if self._told else None

    def _together(self, finding: Finding, number: float, told: Told | None) -> float:
        """What both networks say of a finding, in one number."""
        key, mixed = key_of(finding), self.limits
        known = self._reteller is not None and self._reteller.knows(key[0], key[3])
        likely = told.rows.get(key) if told is not None and known else None
        if self._beside(finding):
            return _UNKNOWN
        if told is None or not known:
            return number
        if likely is None:
            return number - mixed.untold
        likely = min(max(likely, _LEAST), 1 - _LEAST)
        return number + mixed.told * (log(likely / (1 - likely)) + mixed.told_base)

    def least(self, findings: Sequence[Finding]) -> float:
        """The number of the finding that it is the least sure of."""
        if not self.can:
            return -_NEVER
        self.weigh(findings)
        return min((self._found[key_of(f)] for f in findings), default=-_NEVER)

    def sure(self, findings: Sequence[Finding], limit: float) -> list[Finding]:
        """Those of several findings that it is sure enough of."""
        if not self.can:
            return []
        self.weigh(findings)
        return [f for f in findings if self._found[key_of(f)] >= limit]

    def kept(self, findings: Sequence[Finding], asked: Question | None) -> list[Finding]:
        """Those findings of the first reader that stand.

        Args:
            findings: The second has none of them.
            asked: What it asks about their test, if it does.
        """
        if asked is None:
            return self.sure(findings, self.limits.alone)
        if asked.kind in _THE_EXAMINERS - {"site"}:
            return []
        limits = self.limits
        undone = [f for f in findings if f.value in NOT_DONE]  # or was done badly
        done = [f for f in findings if f.value not in NOT_DONE]
        return self.sure(done, limits.asked) + self.sure(undone, limits.undone)

    def unsaid(self, findings: Mapping[Key, Finding]) -> set[Key]:
        """Those that are weighed low and not retold, where the rest is retold surely."""
        if not self.can:
            return set()
        try:
            self._weigh_pairs(findings)
        except Exception as fault:
            note_fault(fault)
            return set()
        low = [
            (key, finding)
            for key, finding in findings.items()
            if self._alone[key] < self.limits.unsaid and not self._added_up(key[0])
        ]
        told = self.told() if low else None  # only then is it worth to be retold
        if told is None or not told.said or not _sure(told):
            return set()
        return {key for key, f in low if leaves_out(told, key) and self.taught([f])}

    def _added_up(self, test: str) -> bool:
        """What it is was worked out, and not said: the networks cannot add."""
        scale = self._grammar.tests[test].scale
        return scale is not None and bool(self._grammar.scales[scale].parts)

    def settles(self, question: Question, offered: Sequence[Finding], limit: float) -> bool:
        """Whether it is sure enough of one way to answer a question.

        Args:
            question: With all ways to answer it.
            offered: One of them.
            limit: How sure it must be.
        """
        if question.kind in _THE_EXAMINERS or self.least(offered) < limit:
            return False
        keys = {key_of(finding) for finding in offered}
        others = [[f for f in c.findings if key_of(f) not in keys] for c in question.choices]
        if question.kind not in _OF_PLACES and not _cover(offered, others):
            return False
        self.weigh(f for findings in others for f in findings)
        if question.kind == "test" and not all(
            self._weigher and self._weigher.knows(f.test, f.value) for fs in others for f in fs
        ):
            return False  # of which test it is cannot be told where one of them was not taught
        return all(
            self.least(offered) - self.least(findings) >= self.limits.ahead
            for findings in others
            if findings
        )

    def _beside(self, finding: Finding) -> bool:
        """A word that nobody knows stands in its midst, or not far from it."""
        if not self._strange:
            return False
        here, text = self._utterance.id, self._utterance.text
        places = [p for p in finding.said if p.utterance == here]
        start = min((place.start for place in places), default=0)
        end = max((place.end for place in places), default=len(text))
        before = [found.start() for found in _WORD.finditer(text, 0, start)][-_NEAR:]
        after = [found.end() for found in _WORD.finditer(text, end)][:_NEAR]
        low, high = min([start, *before]), max([end, *after])
        return any(a < high and low < b for a, b in self._strange)

    def _phrase(self, finding: Finding) -> str:
        return finding_phrase(self._grammar, replace(finding, site_said=None, detail=()))

    def _at(self, finding: Finding) -> int:
        """Where in the utterance it was taken from."""
        here = self._utterance.id
        return next((place.start for place in finding.said if place.utterance == here), 0)


def leaves_out(told: Told, key: Key) -> bool:
    """It is not told; said of no side and of both is the same."""
    test, site, side, value = key
    sides = {s for t, at, s, v in told.rows if (t, at, v) == (test, site, value)}
    return not (sides & {side, None} or (side is None and sides))


def _sure(told: Told) -> bool:
    """Each finding that is told is either very likely or very unlikely."""
    return not any(_NO_MORE < likely < _SURELY for likely in told.rows.values())


def _cover(offered: Sequence[Finding], others: Iterable[Sequence[Finding]]) -> bool:
    """Nothing is asked about of which the offered findings say nothing: else it would be lost."""
    places = {(found.test, found.site) for found in offered}
    return {(found.test, found.site) for one in others for found in one} <= places
