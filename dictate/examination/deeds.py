"""What can be done by hand, each as the line of the journal that it comes to.

Nothing is changed here: a deed is looked at against the record as it is, and what cannot be done
is said. Who holds the journal writes the line and follows it.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from dictate.errors import UsageError
from dictate.examination.facts import facts_of
from dictate.examination.findings import checked_finding
from dictate.examination.fold import Fold
from dictate.examination.follow import whole
from dictate.examination.steps import BY_HAND, SPOKEN, Data
from dictate.grammar.load import Grammar
from dictate.grammar.wording import finding_phrase
from dictate.journal.plain import to_plain
from dictate.model import UTTERANCE_KINDS, Finding, Question, Utterance, UtteranceKind
from dictate.resolve.plain_answers import agreeing


@dataclass(frozen=True, slots=True)
class Deed:
    """A line to be written: its event, and what it holds."""

    event: str
    values: dict[str, Any]


def key_of(finding: Finding) -> str:
    """A short name for a finding of a record, for links and requests: the same while it is."""
    text = json.dumps(to_plain(finding), sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


#: What the key of a question begins with, and its number does not.
_KEY = "q-"


def key_of_question(question: Question) -> str:
    """A name for a question by all that it asks, for links and requests.

    Its number may be another question's by the time that an answer arrives: when words were put
    right meanwhile, questions are numbered anew.
    """
    plain = to_plain(replace(question, id=""))
    return _KEY + hashlib.sha256(json.dumps(plain, sort_keys=True).encode()).hexdigest()[:16]


class Deeds:
    """What can be done to one examination as it is now.

    Every method raises UsageError where it cannot be done.
    """

    def __init__(self, fold: Fold, number: int) -> None:
        """Look at an examination.

        Args:
            fold: As it is.
            number: Of the line that will be written.
        """
        self._fold, self._grammar, self._number = fold, fold.grammar, number

    def correct(self, utterance: str, text: str) -> Deed:
        """Other words in the place of an utterance's."""
        event, found = self._utterance(utterance)
        text = " ".join(text.split())
        if not text:
            raise UsageError("No words are left. Mark it as a remark, if it says nothing.")
        if text == found.text:
            raise UsageError("These are its words already.")
        return self._about("words", utterance, event, text=text)

    def sort(self, utterance: str, kind: str) -> Deed:
        """Another kind of an utterance."""
        if kind not in UTTERANCE_KINDS:
            raise UsageError(f"There is no kind {kind!r}: {', '.join(UTTERANCE_KINDS)}.")
        event, found = self._utterance(utterance)
        if found.kind == kind:
            raise UsageError("It is that already.")
        return self._about("sorted", utterance, event, kind=kind)

    def type(self, text: str) -> Deed:
        """A statement in words."""
        text = " ".join(text.split())
        if not text:
            raise UsageError("Type a statement.")
        return Deed("typed", {"utterance": self._cited(text, "finding")})

    def put(
        self, test: str, site: str | None, side: str | None, value: str,
        detail: Sequence[str] = (), words: str = "",
    ) -> Deed:  # fmt: skip
        """A finding that was chosen."""
        finding = checked_finding(self._grammar, test, site, side, value, detail)
        cited = self._cited(words or finding_phrase(self._grammar, finding), "finding")
        finding = replace(finding, said=(whole(cited),))
        return Deed("put", {"finding": finding, "utterance": cited})

    def change(
        self, finding: str, site: str | None = None, side: str | None = None,
        value: str | None = None, detail: Sequence[str] | None = None, words: str = "",
    ) -> Deed:  # fmt: skip
        """A finding in the place of another."""
        old = self._finding(finding)
        new = checked_finding(
            self._grammar, old.test,
            old.site if site is None else site or None,
            old.side if side is None else side or None,
            old.value if value is None else value,
            _kept_detail(self._grammar, old, value) if detail is None else detail,
        )  # fmt: skip
        if _says(new) == _says(old):
            raise UsageError("It says that already.")
        cited = self._cited(words or finding_phrase(self._grammar, new), "finding")
        kept = old.site_said if new.site == old.site else None
        new = replace(new, said=(*old.said, whole(cited)), site_said=kept)
        about = self._fold.session.cited(old.said)
        return Deed("changed", {"was": old, "about": about, "finding": new, "utterance": cited})

    def take_out(self, finding: str) -> Deed:
        """A finding less."""
        old = self._finding(finding)
        cited = self._cited(f"{finding_phrase(self._grammar, old)}: taken out", "command")
        about = self._fold.session.cited(old.said)
        return Deed("taken_out", {"was": old, "about": about, "utterance": cited})

    def answer(self, question: str, words: str) -> Deed:
        """An answer to an open question."""
        by_key = question.startswith(_KEY)
        asked = next(
            (
                one
                for one in self._fold.record().questions
                if question == (key_of_question(one) if by_key else one.id)
            ),
            None,
        )
        if asked is None:
            raise UsageError(
                "That question is not asked, or not any more. Look at the record again."
            )
        return Deed(
            "replied",
            {
                "question": asked,
                "about": self._fold.session.cited(asked.about),
                "words": words,
                "utterance": self._cited(words.strip(), "command"),
            },
        )

    def undo(self, number: int | None = None) -> Deed:
        """The last decision that counts, or a certain one, counts no more."""
        events, gone = self._fold.events, self._fold.undone()
        signed = max((e["n"] for e in events if e["event"] == "signed"), default=0)
        able = [e for e in events if e["event"] in BY_HAND and e["n"] not in gone]
        if number is not None:
            able = [event for event in able if event["n"] == number]
        if not able:
            raise UsageError("There is nothing to undo.")
        if able[-1]["n"] < signed and number is None:
            raise UsageError("What came before was signed. Change it by hand: an addendum.")
        return Deed("undone", {"of": able[-1]["n"]})

    def redo(self) -> Deed:
        """The last undoing counts no more, where nothing was decided since."""
        gone = self._fold.undone()
        decided = {e["n"] for e in self._fold.events if e["event"] in BY_HAND}
        for event in reversed(self._fold.events):
            if event["n"] in gone:
                continue
            if event["event"] in (*BY_HAND, "signed"):
                break
            if event["event"] == "undone" and event["of"] in decided:
                return Deed("undone", {"of": event["n"]})
        raise UsageError("There is nothing to do again.")

    def name_patient(self, patient: str) -> Deed:
        """Who was examined."""
        patient = " ".join(patient.split())
        if not patient:
            raise UsageError("Give a name or a number for the patient.")
        was = facts_of(self._fold.events).patient
        if patient == was:
            raise UsageError("That is the patient already.")
        return Deed("patient", {"patient": patient, "was": was})

    # ---- inside

    def _about(self, event: str, identity: str, first: Data, **values: object) -> Deed:
        was = first["utterance"]
        return Deed(
            event,
            {"utterance": identity, "was": was, "reading": self._fold.readings, **values},
        )

    def _finding(self, key: str) -> Finding:
        for one in self._fold.record().findings:
            if key_of(one) == key:
                return one
        raise UsageError("There is no such finding any more. Look at the record again.")

    def _utterance(self, identity: str) -> tuple[Data, Utterance]:
        """The event that brought an utterance, and the utterance as it is now."""
        found = [u for u in self._fold.record().utterances if u.id == identity]
        event = self._fold.event_of(identity)
        if not found or event is None:
            raise UsageError(f"There is no utterance {identity}.")
        if event["event"] not in SPOKEN:
            raise UsageError("It was done by hand. Undo it, and do it again.")
        return event, found[-1]

    def _cited(self, text: str, kind: UtteranceKind) -> Utterance:
        return Utterance(f"h{self._number}", text, kind=kind, hand="added")


def _kept_detail(grammar: Grammar, old: Finding, value: str | None) -> tuple[str, ...]:
    """The qualifiers that stay with another value: all but parts of another total."""
    changed = replace(old, value=old.value if value is None else value)
    return agreeing(grammar, changed).detail


def _says(finding: Finding) -> tuple[object, ...]:
    return finding.site, finding.side, finding.value, finding.detail


#: What can be done, by name.
DEEDS: dict[str, Callable[..., Deed]] = {
    name: getattr(Deeds, name)
    for name in (
        "correct", "sort", "type", "put", "change", "take_out", "answer", "undo", "redo",
        "name_patient",
    )
}  # fmt: skip
