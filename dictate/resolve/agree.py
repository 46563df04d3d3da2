"""What only one of two readers comes to is asked about.

Two readers that work in different ways err differently: what both find in an utterance was wrong
far less often than what either finds. So a second one hears every utterance too, and after each

- a finding that it does not have leaves the record for a question;
- so does an older finding that it takes back or corrects, where the first leaves it;
- a finding of its own that the first does not have is offered in a question;
- what it asks about words of which the first made nothing is asked.

Before a question is put, what only one of them finds is weighed (``weighed.py``), and so is what
both find. The second reader and the weigher are handed in from above; this module knows what they
say and not how they come to it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.grammar.wording import finding_phrase
from dictate.model import (
    Choice,
    Finding,
    Place,
    Question,
    QuestionKind,
    Utterance,
    UtteranceKind,
)
from dictate.resolve.context import Pending
from dictate.resolve.corrections import remove
from dictate.resolve.passed_over import of_what_was_passed_over
from dictate.resolve.places import place_at
from dictate.resolve.questions import MOST, NONE
from dictate.resolve.settling import Doubt, Second, Settling
from dictate.resolve.strange import Key, found_in, key_of
from dictate.resolve.whole import Heard

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver

#: A prompt that is read aloud names no more findings than this.
_NAMED = 2
#: In what they may differ of several tests at once.
_SHARED: frozenset[QuestionKind] = frozenset({"side", "site"})


class Agreement:
    """Both readings of one utterance; made before the first reader hears it."""

    def __init__(
        self, resolver: Resolver, second: Second, utterance: Utterance, meant: bool = False
    ) -> None:
        """Let the second reader hear it, and remember how things stood."""
        self._resolver, self._second, self._utterance = resolver, second, utterance
        self._settling = Settling(resolver, second, utterance)
        self._mine = found_in(resolver.entries)
        self._theirs = dict(second.found())
        self._open = {id(pending) for pending in resolver.pending}
        self._asked = {question.id for question in second.asked()}
        second.hear(utterance, meant)

    def hold(self, kind: UtteranceKind) -> bool:
        """Compare, now that the first has heard it too; whether a question was opened for it.

        Args:
            kind: What the first took the utterance for.
        """
        settling = self._settling
        settling.begin()
        mine_said, theirs_said = self._heard()
        if kind == "finding" and settling.whole(mine_said, theirs_said, self.news()):
            return False
        if settling.clear(mine_said, theirs_said, self.news()):
            return True
        theirs = self._second.found()
        doubts: dict[str, Doubt] = {}
        agreed: list[Finding] = []
        mine = found_in(self._resolver.entries)
        for entry in self._resolver.entries:
            key = key_of(entry.finding)
            if key in self._mine and key not in self._theirs:
                continue
            if key in theirs:
                continue
            if self._would_say(entry.finding):
                agreed.append(entry.finding)
            else:
                doubts.setdefault(key[0], Doubt()).mine.append(entry)
        self._second.tell(agreed)
        for entry in settling.doubted(self._mine, doubts):
            doubts.setdefault(entry.finding.test, Doubt()).mine.append(entry)
        news = self.news()
        offers: dict[int, list[Finding]] = {}
        for key, finding in theirs.items():
            if key in mine or key in self._theirs:
                continue
            asked = self._asking(news, finding)
            if asked is not None:
                offers.setdefault(asked, []).append(finding)
            elif not _covers(news, key):
                doubts.setdefault(key[0], Doubt()).theirs.append(finding)
        heard_something = bool(doubts)
        for i, findings in offers.items():
            if not settling.offered(news[i], findings):
                self._offer(news[i], findings)
        settling.held(news)
        if kind == "finding":
            asked_too = {test: self._own_question(test) for test in doubts}
            doubts = settling.retold(settling.still(doubts, asked_too), news)
        for test, doubt in self._together(doubts).items():
            self._ask(test, doubt)
        if kind == "remark" and not news:
            return heard_something or self._also_asked(mine)
        if kind == "finding":
            new = self._newly_asked()
            for question in of_what_was_passed_over(self._resolver, self._utterance, new):
                self._resolver.open_question(question)
        return heard_something

    def _heard(self) -> tuple[Heard, Heard]:
        """What each reader has made of it."""
        here = self._utterance.id
        asks = bool(self.news()), bool(self._newly_asked())
        mine = Heard(self._mine, found_in(self._resolver.entries), asks[0], here)
        return mine, Heard(self._theirs, self._second.found(), asks[1], here)

    def _newly_asked(self) -> list[Question]:
        """The questions that the second reader has opened for the utterance."""
        return [q for q in self._second.asked() if q.id not in self._asked]

    def news(self) -> list[Pending]:
        """The questions that the first reader has opened for the utterance."""
        return [p for p in self._resolver.pending if id(p) not in self._open]

    def _would_say(self, finding: Finding) -> bool:
        """The second reader asks for nothing but the side, which the first has from what holds.

        Of what it asks the value of, and the first has, one in three was wrong in text that nobody
        had tuned to, so that stays a question.
        """
        key, here = key_of(finding), self._utterance.id
        said = [(p.start, p.end) for p in finding.said if p.utterance == here]
        for question in self._newly_asked():
            about = [(p.start, p.end) for p in question.about if p.utterance == here]
            near = any(a < d and c < b for a, b in said for c, d in about)
            if not near:
                continue
            offered = [key_of(f) for choice in question.choices for f in choice.findings]
            if question.kind == "side" and key in offered:
                return len({(test, site, value) for test, site, _, value in offered}) == 1
        return False

    def _asking(self, news: Sequence[Pending], finding: Finding) -> int | None:
        """Which question that was just opened is about these words, by its place."""
        here = self._utterance.id
        said = [(p.start, p.end) for p in finding.said if p.utterance == here]
        for i, pending in enumerate(news):
            about = [(p.start, p.end) for p in pending.question.about if p.utterance == here]
            if any(a < d and c < b for a, b in said for c, d in about):
                return i
        return None

    def _offer(self, pending: Pending, findings: Sequence[Finding]) -> None:
        """What the second reader makes of the words is one more way to answer the question."""
        question = pending.question
        wanted = {key_of(found) for found in findings}
        if any({key_of(f) for f in choice.findings} == wanted for choice in question.choices):
            return
        label = "; ".join(finding_phrase(self._resolver.grammar, found) for found in findings)
        own = [choice for choice in question.choices if choice.findings]
        rest = [choice for choice in question.choices if not choice.findings]
        choices = (Choice(label, tuple(findings)), *own, *(rest or [Choice(NONE)]))
        pending.question = replace(question, choices=choices)

    def _together(self, doubts: Mapping[str, Doubt]) -> dict[str, Doubt]:
        """Where they differ about several tests in the same way, that is one question.

        One reader has the findings and the other has not, or they differ in the side or the site.
        """
        out: dict[str, Doubt] = {}
        alike: dict[tuple[bool, bool, QuestionKind], str] = {}
        for test, doubt in doubts.items():
            both = bool(doubt.mine and doubt.theirs)
            way = (bool(doubt.mine), bool(doubt.theirs), _kind(doubt))
            if (both and way[2] not in _SHARED) or self._own_question(test) is not None:
                out[test] = doubt
            elif way in alike:
                first = out[alike[way]]
                first.mine.extend(doubt.mine)
                first.theirs.extend(doubt.theirs)
            else:
                alike[way] = test
                out[test] = doubt
        return out

    def _also_asked(self, mine: Mapping[Key, Finding]) -> bool:
        """The second one asks about an utterance of which the first made nothing."""
        if mine.keys() - self._mine.keys() or not (self._resolver.entries or self._resolver.opened):
            return False
        new = self._newly_asked()
        for question in new[:1]:
            self._resolver.open_question(question)
        return bool(new)

    def _ask(self, test: str, doubt: Doubt) -> None:
        for entry in doubt.mine:
            remove(self._resolver, entry, "questioned")
        own = self._own_question(test)
        offered = [list(choice.findings) for choice in own.choices] if own else []
        choices = self._choices([one for one in (doubt.found, doubt.theirs, *offered) if one])
        kind = own.kind if own else _kind(doubt)
        about = self._about(doubt)
        said = self._utterance.text[about.start : about.end]
        question = Question("", kind, (about,), self._prompt(said, choices), choices)
        self._resolver.open_question(question)

    def _own_question(self, test: str) -> Question | None:
        """What the second reader asks about it, if it does."""
        for question in self._newly_asked():
            tests = {found.test for choice in question.choices for found in choice.findings}
            if test in tests:
                return question
        return None

    def _choices(self, readings: Sequence[Sequence[Finding]]) -> tuple[Choice, ...]:
        different: dict[frozenset[Key], Choice] = {}
        for reading in readings:
            label = "; ".join(finding_phrase(self._resolver.grammar, found) for found in reading)
            keys = frozenset(key_of(found) for found in reading)
            different.setdefault(keys, Choice(label, tuple(reading)))
        return (*list(different.values())[:MOST], Choice(NONE))

    def _prompt(self, said: str, choices: Sequence[Choice]) -> str:
        offered = choices[:-1]
        if len(offered) == 1 and len(offered[0].findings) <= _NAMED:
            return f"“{said}”: did you find “{offered[0].label}”?"
        return f"“{said}”: how is that meant?"

    def _about(self, doubt: Doubt) -> Place:
        """The words of this utterance that it is about; all of them where it has none."""
        here = self._utterance
        spots = [
            (place.start, place.end)
            for found in (*doubt.found, *doubt.theirs)
            for place in found.said
            if place.utterance == here.id and place.end <= len(here.text)
        ]
        start = min((a for a, _ in spots), default=0)
        end = max((b for _, b in spots), default=len(here.text))
        return place_at(here, start, end)


def _covers(pending: Sequence[Pending], key: Key) -> bool:
    """A question that was just opened is about the same test."""
    tests = {
        found.test
        for one in pending
        for choice in one.question.choices
        for found in choice.findings
    }
    return key[0] in tests


def _kind(doubt: Doubt) -> QuestionKind:
    """What is asked: where the two differ, if in one thing only."""
    mine = [key_of(found) for found in doubt.found]
    theirs = [key_of(found) for found in doubt.theirs]
    if not mine or not theirs:
        return "value"
    differs = [
        set(a) != set(b)
        for a, b in zip(zip(*mine, strict=True), zip(*theirs, strict=True), strict=True)
    ]
    named: tuple[tuple[int, QuestionKind], ...] = ((2, "side"), (1, "site"), (3, "value"))
    found: list[QuestionKind] = [kind for at, kind in named if differs[at]]
    return found[0] if len(found) == 1 else "value"
