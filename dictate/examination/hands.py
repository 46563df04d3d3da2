"""What people do to an examination by hand: here, or through the program that holds it."""

from __future__ import annotations

import time
from collections.abc import Sequence
from contextlib import suppress
from typing import Any

from dictate.errors import DictateError, StorageError, UsageError
from dictate.examination.deeds import DEEDS, key_of, key_of_question
from dictate.examination.handing import hand_over
from dictate.examination.kept import Kept
from dictate.examination.steps import Data
from dictate.faults import note_fault
from dictate.journal.plain import from_plain
from dictate.model import Finding, Question, UtteranceKind
from dictate.session import Heard

#: The program that takes what it is handed.
TAKES = "listen"
#: How long one waits until it has (seconds), and how long between two looks.
WAIT_S, LOOK_S = 5.0, 0.05


class Hands(Kept):
    """The deeds of an examination, each on disk when it returns."""

    def correct(self, utterance: str, text: str) -> Heard:
        """Put other words in the place of an utterance's; all that follows is read again.

        Args:
            utterance: Its id.
            text: Its words as they should be.

        Raises:
            UsageError: There is no such utterance, or nothing would be left of it.
        """
        return self._do("correct", utterance=utterance, text=text)

    def sort(self, utterance: str, kind: UtteranceKind) -> Heard:
        """Say what an utterance is: a finding, talk with the patient, a remark.

        Args:
            utterance: Its id.
            kind: ``finding`` lets it be read as a statement whatever it sounds like; every other
                kind takes out what it brought.

        Raises:
            UsageError: There is no such utterance, or no such kind.
        """
        return self._do("sort", utterance=utterance, kind=kind)

    def type(self, text: str) -> Heard:
        """Add a statement in words ("left deltoid four plus").

        It is read on its own: a side or a site that it lacks is asked for.
        """
        return self._do("type", text=text)

    def put(
        self, test: str, site: str | None, side: str | None, value: str,
        detail: Sequence[str] = (), words: str = "",
    ) -> Heard:  # fmt: skip
        """Add a finding that was chosen and not written.

        Args:
            test: Its id in the grammar.
            site: A site that the test takes, or None.
            side: ``right``, ``left`` or None.
            value: A value that the test takes.
            detail: Qualifiers.
            words: What is to be cited; left out, the finding in words.

        Raises:
            UsageError: The grammar has no such finding, or a side is missing.
        """
        return self._do(
            "put", test=test, site=site, side=side, value=value, detail=list(detail), words=words
        )

    def change(
        self, finding: Finding | str, site: str | None = None, side: str | None = None,
        value: str | None = None, detail: Sequence[str] | None = None, words: str = "",
    ) -> Heard:  # fmt: skip
        """Change a finding; the old one stays in the history.

        Args:
            finding: A finding of ``live()``, or its ``key_of``.
            site: Another site; None leaves it. ``""``: none at all.
            side: Another side; None leaves it. ``""``: none at all.
            value: Another value; None leaves it.
            detail: Other qualifiers; None leaves them.
            words: What is to be cited; left out, the finding in words.

        Raises:
            UsageError: There is no such finding, or the grammar has none like the new one.
        """
        key = finding if isinstance(finding, str) else key_of(finding)
        more = list(detail) if detail is not None else None
        return self._do(
            "change", finding=key, site=site, side=side, value=value, detail=more, words=words
        )

    def take_out(self, finding: Finding | str) -> Heard:
        """Take a finding out; it stays in the history.

        Args:
            finding: A finding of ``live()``, or its ``key_of``.

        Raises:
            UsageError: There is no such finding.
        """
        key = finding if isinstance(finding, str) else key_of(finding)
        return self._do("take_out", finding=key)

    def answer(self, question: str, words: str) -> Heard:
        """Answer an open question.

        Args:
            question: Its ``key_of_question``; or its number, for who sees the record as it is.
            words: A choice's mark or label, or words ("four plus", "not tested").

        Raises:
            UsageError: No such question is open, or the words are no answer to it.
        """
        with self._turn:
            # another program may number the questions anew before it takes the answer
            seen = next((q for q in self._fold.record().questions if q.id == question), None)
        key = question if seen is None else key_of_question(seen)
        return self._do("answer", question=key, words=words)

    def undo(self, number: int | None = None) -> Heard:
        """Undo what was decided by hand last, or one decision.

        Args:
            number: A step's number; None for the last one that counts.

        Raises:
            UsageError: There is nothing to undo, or it was signed.
        """
        return self._do("undo", number=number)

    def redo(self) -> Heard:
        """Undo the last undoing, where nothing was decided since.

        Raises:
            UsageError: There is none.
        """
        return self._do("redo")

    def name_patient(self, patient: str) -> Heard:
        """Say who was examined.

        Raises:
            UsageError: Nothing was given.
        """
        return self._do("name_patient", patient=patient)

    def take_handed(self) -> list[Heard]:
        """Carry out what others have handed over; for the program that holds it.

        Returns:
            What each of it changed.
        """
        with self._turn, suppress(StorageError):  # a full disk: it is tried again
            return self._take_all(self._handed.more())
        return []

    # ---- inside

    def _do(self, name: str, **arguments: Any) -> Heard:
        with self._turn:
            if self._writing():
                return self._decide(DEEDS[name](self._deeds(), **arguments))
            if self.held_by != TAKES:
                self._may_write()  # says who has it
            identity = hand_over(self.folder, self._lock, name, arguments)
        if identity is None:  # the other one has just ended
            return self._do(name, **arguments)
        return self._taken(identity)

    def _writing(self) -> bool:
        """Whether this program writes; where the other one has ended, it does from now on."""
        if self._journal is None and self.held_by and self._lock.take():
            self._look()
            self._begin_writing()
        return self._journal is not None

    def _taken(self, identity: str) -> Heard:
        """Wait until the other program has carried it out."""
        until = time.monotonic() + WAIT_S
        known = 0
        while True:
            with self._turn:
                self._look()
                fresh = self._fold.events[known:]
                known = len(self._fold.events)
                line = next((e for e in fresh if e.get("handed") == identity), None)
                if line is not None:
                    return _outcome(line)
                if self._journal is None and self._lock.free():
                    self._writing()  # it was killed: what waits is taken now
                    continue
            if time.monotonic() > until:
                raise StorageError(
                    "It is kept, and was not taken yet. Look again in a moment; do not repeat it."
                )
            time.sleep(LOOK_S)

    def _take_all(self, deeds: Sequence[Data]) -> list[Heard]:
        """Carry out what waits, in order; what could not be kept goes on waiting.

        Raises:
            StorageError: The disk is full.
        """
        self._waiting.extend(deeds)
        done: list[Heard] = []
        while self._waiting:
            heard = self._take_deed(self._waiting[0])
            self._waiting.popleft()
            if heard is not None:
                done.append(heard)
        return done

    def _take_deed(self, deed: Data) -> Heard | None:
        identity = deed["id"]
        if any(event.get("handed") == identity for event in self._fold.events):
            return None
        arguments = {name: value for name, value in deed.items() if name not in ("id", "do")}
        try:
            if deed["do"] not in DEEDS:
                raise UsageError("This version of the program cannot do that.")
            return self._decide(DEEDS[deed["do"]](self._deeds(), **arguments), identity)
        except StorageError:
            raise
        except DictateError as fault:
            sentence = str(fault)
        except Exception as fault:  # nothing that is handed over ends a dictation
            sentence = f"That cannot be done: a fault in the program ({note_fault(fault)})."
        self._write("refused", handed=identity, sentence=sentence)
        return None

    def _take_left(self) -> None:
        self.take_handed()


def _outcome(line: Data) -> Heard:
    if line["event"] == "refused":
        raise UsageError(str(line["sentence"]))
    findings = [tuple(from_plain(Finding, x) for x in line[name]) for name in ("added", "removed")]
    questions = [
        tuple(from_plain(Question, x) for x in line[name]) for name in ("asked", "settled")
    ]
    return Heard(None, findings[0], findings[1], questions[0], questions[1])
