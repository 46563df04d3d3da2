"""What the two readers do not agree on is settled where it is weighed and found sure enough.

Called by ``agree.py`` before anything is asked; ``weighed.py`` knows how sure is sure enough.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Protocol

from dictate.interpret.statement import Statement
from dictate.model import Finding, Question, QuestionKind, Utterance
from dictate.resolve.context import Entry, Pending
from dictate.resolve.corrections import remove
from dictate.resolve.doubtful import (
    about_it,
    in_doubt,
    refused,
    side_asked,
    tests_of,
    turned_round,
)
from dictate.resolve.fit import settles_scale
from dictate.resolve.in_words import InWords
from dictate.resolve.passed_over import LATEST
from dictate.resolve.places import place_at
from dictate.resolve.retold import missing, open_of
from dictate.resolve.strange import Key, found_in, key_of
from dictate.resolve.weighed import Weighed, leaves_out
from dictate.resolve.whole import Heard, touches

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver


class Second(Protocol):
    """A second reader with a narration of its own."""

    def hear(self, utterance: Utterance, meant: bool = False) -> None:
        """Take one utterance; where it fails, it has found nothing in it.

        Args:
            utterance: The words.
            meant: The examiner says that it is a statement, so nothing of it is talk.
        """

    def found(self) -> Mapping[Key, Finding]:
        """What it has found so far, by what tells findings apart."""

    def asked(self) -> Sequence[Question]:
        """The questions that are open for it."""

    def tell(self, findings: Sequence[Finding]) -> None:
        """An answer brought these: they hold for it as well."""

    def anew(self) -> Second:
        """Another one, with nothing heard yet."""

    def copy(self) -> Second:
        """The same once more, to be gone on with apart."""


#: What an utterance does to a finding that it puts right.
_PUT_RIGHT = frozenset({"corrected", "taken_back"})
#: Where one of these is asked, what the networks say of the utterance is no answer.
_NOT_RETOLD: frozenset[QuestionKind] = frozenset(
    {"conflict", "heard", "referent", "scale", "site", "test"}
)
#: What the stage that decides calls a test that is known by its site and its value.
_UNNAMED = "test_not_named"


@dataclass(slots=True)
class Doubt:
    """What each reader has of one test, where they differ."""

    mine: list[Entry] = field(default_factory=list)
    theirs: list[Finding] = field(default_factory=list)

    @property
    def found(self) -> list[Finding]:
        """What the first reader has."""
        return [entry.finding for entry in self.mine]


class Settling:
    """What becomes of one utterance's findings of which not both readers are sure."""

    def __init__(self, resolver: Resolver, second: Second, utterance: Utterance) -> None:
        """Weigh nothing yet; made before the first reader hears the utterance."""
        self._resolver, self._second, self._utterance = resolver, second, utterance
        self._weighed = Weighed(
            resolver.grammar, resolver.weigher, resolver.utterances, utterance,
            resolver.reteller,
        )  # fmt: skip
        self._words = InWords(resolver.grammar, None, False)

    def begin(self) -> None:
        """See which words nobody knows, now that the first reader has read it."""
        self._words = InWords(
            self._resolver.grammar, self._resolver.read_last, self._resolver.labelled
        )
        if self._resolver.read_last is not None:
            self._weighed.look_at(self._resolver.read_last)

    def whole(self, mine: Heard, theirs: Heard, news: Sequence[Pending]) -> bool:
        """Take one reader's word for all of it, where the network retells just that.

        Args:
            mine: What the first reader has.
            theirs: What the second has.
            news: The questions that the first has opened for it.

        Returns:
            Whether that was done; then nothing of it is to be asked.
        """
        if mine.like(theirs) or any(pending.withdrawn for pending in news):
            return False
        if mine.asks and theirs.asks:
            return False
        if (mine.asks or theirs.asks) and self._words.turned():
            return False
        may = [
            (one, gone)
            for one, other in ((theirs, mine), (mine, theirs))
            if one.said and (gone := one.in_place_of(other)) is not None
        ]
        told = self._weighed.told() if may else None  # only then is it worth to be retold
        if told is None or not told.said:
            return False
        for one, gone in may:
            if one.says(told.said):
                return self._take(list(one.said.values()), gone, news)
        return False

    def clear(self, mine: Heard, theirs: Heard, news: Sequence[Pending]) -> bool:
        """Take for all of it what it is retold as, where nothing of that is doubtful.

        Neither reader need come to just that, but one of them to each part of it, if only in a
        question. What both have found, what was found before and is touched by it, what was called
        wrong, and a side that nobody says are not the networks' to change or to bring.

        Args:
            mine: What the first reader has.
            theirs: What the second has.
            news: The questions that the first has opened for it.

        Returns:
            Whether that was done; then nothing of it is to be asked.
        """
        if mine.like(theirs) and mine.said:
            return False
        if mine.lost or theirs.lost or any(p.question.kind in _NOT_RETOLD for p in news):
            return False
        if self._put_right():
            return False
        if any(pending.withdrawn for pending in news) or not self._words.plainly_told():
            return False
        read = {**theirs.said, **mine.said}
        offered = {key_of(f) for p in news for c in p.question.choices for f in c.findings}
        if not (read or offered) or not self._words.names_something():
            return False
        told = self._weighed.clear(place_at(self._utterance, 0, len(self._utterance.text)))
        if told is None or not (mine.said.keys() & theirs.said.keys()) <= told.keys():
            return False
        if not told.keys() <= read.keys() | offered:
            return False
        if any(touches(told, before) for before in (mine.before, theirs.before)):
            return False
        if not self._weighed.taught(f for key, f in read.items() if key not in told):
            return False
        new = [f for key, f in told.items() if key not in read]
        if not self._words.say(new, offered) or side_asked(new, news):
            return False
        found = [read.get(key, f) for key, f in told.items()]
        about = [(pending, about_it(pending, found)) for pending in news]
        limit = self._weighed.limits.clear
        if self._weighed.least(found) < limit or len(self._free(found)) < len(found):
            return False
        if any(turned_round(*one) or in_doubt(*one) for one in about):
            return False
        if self._words.turned() and not all(
            of_it for pending, of_it in about if pending.question.choices
        ):
            return False
        self._stands(found, mine.said.keys() - told.keys() - mine.before.keys(), news)
        return True

    def _take(
        self, found: Sequence[Finding], gone: Sequence[Finding], news: Sequence[Pending]
    ) -> bool:
        """Record what one reader has said, and take out what the other must give up for it."""
        limits = self._weighed.limits
        about = [(pending, about_it(pending, found)) for pending in news]
        hard = any(turned_round(pending, of_it) for pending, of_it in about) or self._odd()
        sure = self._weighed.sure(found, limits.certain if hard else limits.whole)
        if len(sure) < len(found) or len(self._free(found)) < len(found):
            return False
        if any(in_doubt(pending, of_it) for pending, of_it in about):
            return False
        self._stands(found, {key_of(finding) for finding in gone}, news)
        return True

    def _odd(self) -> bool:
        """A sentence of it has a word that is neither known nor harmless."""
        reading, stage = self._resolver.read_last, self._resolver.stage
        return reading is not None and any(stage.strange(reading, s) for s in reading.sentences)

    def _stands(
        self, found: Sequence[Finding], leave: Collection[Key], news: Sequence[Pending]
    ) -> None:
        """This is what the utterance says: its questions close, what is left is taken out."""
        for pending in news:
            self._close(pending)
        there = found_in(self._resolver.entries)
        for entry in [e for e in self._resolver.entries if key_of(e.finding) in leave]:
            remove(self._resolver, entry, "questioned")
        self._enter([f for f in found if key_of(f) not in there])
        self._second.tell(found)

    def doubted(self, old: Collection[Key], doubts: Mapping[str, Doubt]) -> list[Entry]:
        """What both readers come to, and the utterance is surely retold without.

        What came from an earlier utterance as well, or puts it right, is theirs to know; so is
        what is plainly said, and what is found first: they know those better than the networks do.

        Args:
            old: What was found before.
            doubts: What only one of them finds, by test.
        """
        if not old or self._put_right():
            return []
        here = self._utterance.id
        differ = {id(entry) for doubt in doubts.values() for entry in doubt.mine}
        new = {
            key_of(entry.finding): entry
            for entry in self._resolver.entries
            if key_of(entry.finding) not in old and id(entry) not in differ
            if all(place.utterance == here for place in entry.finding.said)
        }
        if not new or self._plain({key[0] for key in new}):
            return []
        found = self._weighed.unsaid({key: entry.finding for key, entry in new.items()})
        return [entry for key, entry in new.items() if key in found]

    def _put_right(self) -> bool:
        """The utterance corrects something, of itself or older: that is the readers' to know."""
        here, history = self._utterance.id, self._resolver.history[-LATEST:]
        return any(c.utterance == here and c.what in _PUT_RIGHT for c in history)

    def _plain(self, tests: Collection[str]) -> bool:
        """Each word of it is used, no statement is denied, and nothing is added to what was said.

        What each is of must be said, by name or by a grade that no other test has ("four of five").

        Args:
            tests: Those of what was found.
        """
        resolver, reading = self._resolver, self._resolver.read_last
        if reading is None:
            return False
        sentences, verdicts = reading.sentences, resolver.verdicts
        statements = [st for sentence in sentences for st in sentence.statements]
        if len(statements) != len(verdicts) or any(st.denied for st in statements):
            return False
        if any(one.talk or resolver.stage.strange(reading, one) for one in sentences):
            return False
        return all(
            verdict.record
            and not verdict.left
            and verdict.against <= ({_UNNAMED} if self._graded(st, tests) else set())
            for st, verdict in zip(statements, verdicts, strict=True)
        )

    def _graded(self, st: Statement, tests: Collection[str]) -> bool:
        """Its grades say of which of the tests they are."""
        grammar = self._resolver.grammar
        return all(any(settles_scale(grammar, t, said) for t in tests) for said in st.values)

    def offered(self, pending: Pending, findings: Sequence[Finding]) -> bool:
        """The first reader asks, the second finds something: that, where it is sure enough."""
        return self._settles(pending, findings, self._weighed.limits.offered)

    def held(self, news: Sequence[Pending]) -> None:
        """What the first reader would say and its stage held back, where it is sure enough."""
        for pending in news:
            if not any(pending is one for one in self._resolver.pending):
                continue
            choices, limits = [c.findings for c in pending.question.choices], self._weighed.limits
            for offered in choices:
                held = offered == pending.held
                if not held and (pending.question.kind == "side" or refused(pending)):
                    continue  # nobody has said which; or what was said is not enough
                limit = limits.held if held else limits.chosen
                if offered and self._settles(pending, offered, limit):
                    break

    def _settles(self, pending: Pending, findings: Sequence[Finding], limit: float) -> bool:
        """Record one answer to a question that was just opened, where it is sure enough.

        What is doubted, or stands beside a word that may turn it round, must be certain.
        So must what a denied statement would still find.
        """
        if len(self._free(findings)) < len(findings) or in_doubt(pending, findings):
            return False
        if turned_round(pending, findings):
            limit = max(limit, self._weighed.limits.certain)
        if not self._weighed.settles(pending.question, findings, limit):
            return False
        if self._contradicts(findings):
            return False
        self._close(pending)
        self._enter(findings)
        return True

    def _contradicts(self, findings: Sequence[Finding]) -> bool:
        """The same breath has found something of the test that it is not retold as.

        "Left ptosis, sorry, not left, right ptosis": with the right the left must go.
        """
        told, here = self._weighed.told(), self._utterance.id
        if told is None:
            return False
        tests = {f.test for f in findings}
        return any(
            leaves_out(told, key_of(entry.finding))
            for entry in self._resolver.entries
            if entry.finding.test in tests
            if all(place.utterance == here for place in entry.finding.said)
        )

    def still(
        self, doubts: Mapping[str, Doubt], asked: Mapping[str, Question | None]
    ) -> dict[str, Doubt]:
        """What is still to be asked about once it was weighed.

        Where the first reader takes it all for talk or a remark, it may be of another time, or
        what somebody told: that is not to be weighed.

        Args:
            doubts: What only one of them finds, by test.
            asked: What the second reader asks about each of these tests, if it does.
        """
        if not self._weighed.can:
            return dict(doubts)
        left = {test: self._left(doubt, asked[test]) for test, doubt in doubts.items()}
        return {test: doubt for test, doubt in left.items() if doubt.mine or doubt.theirs}

    def _left(self, doubt: Doubt, asked: Question | None) -> Doubt:
        """What only one of them finds of a test is recorded where it is sure enough."""
        weighed = self._weighed
        if doubt.mine and doubt.theirs:
            return self._one_of(doubt)
        if doubt.theirs:
            return doubt  # what the first passes over may be a comment, or cut off by one
        kept = weighed.kept(self._free(doubt.found), asked)
        self._second.tell(kept)
        certain = {key_of(finding) for finding in kept}
        mine = [entry for entry in doubt.mine if key_of(entry.finding) not in certain]
        return Doubt(mine, doubt.theirs)

    def retold(self, doubts: Mapping[str, Doubt], news: Sequence[Pending]) -> dict[str, Doubt]:
        """What is still to be asked about, where the utterance was retold very surely.

        What neither reader comes to is recorded too, where nothing older is of the same part and
        each side is said.

        Args:
            doubts: What only one of the readers finds, by test.
            news: The questions that were opened for this utterance.
        """
        asked = open_of(news, self._resolver.pending)
        if not asked and not doubts:
            return {}  # where both readers say the same, what else is told is mostly wrong
        if any(p.question.kind in _NOT_RETOLD for p in news):
            return dict(doubts)
        told = self._weighed.retold(place_at(self._utterance, 0, len(self._utterance.text)))
        if told is None or not told.of or not self._words.plainly_told() or self._put_right():
            return dict(doubts)
        offered = {key_of(f): f for p in news for c in p.question.choices for f in c.findings}
        read = {key_of(f): f for doubt in doubts.values() for f in (*doubt.found, *doubt.theirs)}
        read = {**read, **self._second.found(), **found_in(self._resolver.entries)}
        better = {**offered, **read}
        told = told.without(
            f
            for f in (f for of_test in told.of.values() for f in of_test)
            if not self._free([better.get(key_of(f), f)])
            or not (key_of(f) in read or self._words.say([f], offered))
        )
        answered = [
            p
            for p in asked
            if told.answers(p.question) and not refused(p)
            if not turned_round(p, told.about(p.question))
            if not in_doubt(p, told.about(p.question))
        ]
        unanswered = tests_of(p for p in asked if not any(p is one for one in answered))
        settled = [
            test
            for test, doubt in doubts.items()
            if test not in unanswered and told.covers([*doubt.found, *doubt.theirs])
        ]
        tests = tests_of(answered) | set(settled)
        in_question = unanswered | (doubts.keys() - set(settled))
        older = found_in(self._resolver.entries)
        sure = [
            t
            for t in told.of
            if t not in in_question and not touches(map(key_of, told.of[t]), older)
        ]
        tests |= set(sure)
        new = [finding for test in sorted(tests) for finding in told.of.get(test, ())]
        wanted = {key_of(finding) for finding in new}
        for pending in answered:
            self._close(pending)
        for test in settled:
            for entry in doubts[test].mine:
                if key_of(entry.finding) not in wanted:
                    remove(self._resolver, entry, "questioned")
        new = missing(new, found_in(self._resolver.entries))
        self._enter([better.get(key_of(finding), finding) for finding in new])
        return {test: doubt for test, doubt in doubts.items() if test not in settled}

    def _one_of(self, doubt: Doubt) -> Doubt:
        """Each finds another thing of a test: what is sure stands, if the other is not."""
        weighed, limits = self._weighed, self._weighed.limits
        mine, theirs = weighed.least(doubt.found), weighed.least(doubt.theirs)
        flipped = {f.normal for f in doubt.found} != {f.normal for f in doubt.theirs}
        if flipped and abs(mine - theirs) < limits.flipped:
            return doubt  # whether it was denied is the examiner's to say
        places = [{(f.test, f.site, f.side) for f in one} for one in (doubt.found, doubt.theirs)]
        limit = limits.instead if places[0] == places[1] else limits.elsewhere
        if abs(mine - theirs) < limits.ahead or max(mine, theirs) < limit:
            return doubt
        better = doubt.found if mine > theirs else doubt.theirs
        if len(self._free(better)) < len(better):
            return doubt
        if mine > theirs:
            self._second.tell(better)
        else:
            for entry in doubt.mine:
                remove(self._resolver, entry, "questioned")
            self._enter(better)
        return Doubt()

    def _free(self, findings: Sequence[Finding]) -> list[Finding]:
        """Those that say nothing again of what is still asked about ("left the same")."""
        here = self._utterance.id
        asked = {
            place.utterance for one in self._resolver.pending for place in one.question.about
        } - {here}
        return [f for f in findings if asked.isdisjoint(place.utterance for place in f.said)]

    def _close(self, pending: Pending) -> None:
        """A question that need not be put; no later words are its answer."""
        self._resolver.pending.remove(pending)
        if self._resolver.waiting is pending:
            self._resolver.waiting = None

    def _enter(self, findings: Sequence[Finding]) -> None:
        """Record what the weigher is sure of, as part of the utterance that says it."""
        self._second.tell(findings)
        heard = self._resolver.utterances.pop()
        for finding in findings:
            self._resolver.add(None, finding, frozenset(), "start", [])
        self._resolver.utterances.append(heard)
