"""An examination in its folder, open for reading and (for one program at a time) for writing."""

from __future__ import annotations

import hashlib
import json
import threading
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import Any

from dictate import __version__
from dictate.errors import StorageError, UsageError
from dictate.examination.facts import Facts, facts_of, new_patient
from dictate.examination.findings import checked_finding, words_of
from dictate.examination.fold import FAULTS, Fold, whole
from dictate.examination.signing import frozen, sign, with_addenda
from dictate.examination.steps import BY_HAND, Step
from dictate.examination.telling import told
from dictate.grammar.load import load_grammar
from dictate.journal.lock import WriterLock
from dictate.journal.plain import to_plain
from dictate.journal.reading import Tail, read_journal
from dictate.journal.writing import FORMAT, JOURNAL_NAME, Journal
from dictate.model import (
    UTTERANCE_KINDS,
    Examined,
    Finding,
    Record,
    Signature,
    Utterance,
    UtteranceKind,
)
from dictate.session import Heard, difference
from dictate.store import make_folder

Data = dict[str, Any]


def key_of(finding: Finding) -> str:
    """A short name for a finding of a record, for links and requests: the same while it is."""
    text = json.dumps(to_plain(finding), sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:16]


class Examination:
    """One examination. Every call may come from any thread.

    What was changed is on disk when a call returns. What cannot be done raises UsageError and
    changes nothing.

    Attributes:
        folder: Where it is.
        grammar: Whose words count in it.
        writes: Whether this program may change it.
        held_by: The program that writes to it where this one may not ("listen", "review").
    """

    def __init__(
        self, folder: Path, fold: Fold, lock: WriterLock, journal: Journal | None, tail: Tail,
        held_by: str = "",
    ) -> None:  # fmt: skip
        """For ``create`` and ``open``."""
        self.folder, self.grammar = folder, fold.grammar
        self.held_by = held_by
        self._fold, self._lock, self._journal, self._tail = fold, lock, journal, tail
        self._turn = threading.RLock()
        self._frozen: dict[int, tuple[Record, bool]] = {}

    # ---- beginning and end

    @classmethod
    def create(
        cls, folder: Path, program: str = "note", grammar: Path | None = None, patient: str = "",
        sound: str | None = None,
    ) -> Examination:  # fmt: skip
        """Begin one in a folder.

        Args:
            folder: Made if it is missing, for its owner alone.
            program: What begins it ("note", "review").
            grammar: A folder of grammar files; None for the program's own.
            patient: Who was examined; left out, a random id.
            sound: File name of the recording in the folder, if there is one.

        Raises:
            UsageError: There is an examination in the folder.
            StorageError: It cannot be written.
        """
        loaded = load_grammar(grammar)
        make_folder(folder)
        path = folder / JOURNAL_NAME
        if path.exists():
            raise UsageError(
                f"There is an examination in {folder} already. Open it by 'dictate review "
                f"{folder}', or name another folder."
            )
        lock = WriterLock(folder)
        if not lock.take(program):
            raise UsageError(f"Another program is writing to {folder}. Name another folder.")
        try:
            journal = Journal(path)
        except StorageError:
            lock.release()
            raise
        examination = cls(folder, Fold(loaded), lock, journal, Tail(path))
        examination._write(
            "started", format=FORMAT, version=__version__, program=program, mode="always",
            sound=sound, grammar=str(grammar.absolute()) if grammar is not None else None,
            patient=patient or new_patient(),
        )  # fmt: skip
        return examination

    @classmethod
    def open(cls, folder: Path, program: str = "review", write: bool = True) -> Examination:
        """Open one.

        Where another program writes to it, it is opened for reading (``writes`` is False), and
        ``follow`` brings what the other one writes.

        Args:
            folder: Where it is.
            program: What opens it; others are told so.
            write: Whether to write, if no other program does.

        Raises:
            InputError: There is none, or it cannot be understood.
            StorageError: It cannot be written.
        """
        path = folder / JOURNAL_NAME
        lock = WriterLock(folder)
        mine = write and path.exists() and lock.take(program)
        try:
            found = read_journal(path)
            fold = Fold(load_grammar(_grammar_of(found.events)))
            for event in found.events:
                fold.take(event)
            size = found.size
            examination = cls(
                folder, fold, lock, None, Tail(path, size, found.next_number - 1),
                "" if mine or not write else lock.holder(),
            )  # fmt: skip
            if mine:
                examination._take_up(found.notices)
        except BaseException:
            lock.release()
            raise
        return examination

    def close(self) -> None:
        """Let others write."""
        with self._turn:
            if self._journal is not None:
                self._journal.close()
                self._journal = None
            self._lock.release()

    def __enter__(self) -> Examination:
        """Itself."""
        return self

    def __exit__(self, *_: object) -> None:
        """Close it."""
        self.close()

    # ---- what it is

    @property
    def writes(self) -> bool:
        """Whether this program may change it."""
        return self._journal is not None

    @property
    def version(self) -> int:
        """The number of the last line of the journal that is known: it grows with every change."""
        with self._turn:
            return int(self._fold.events[-1]["n"]) if self._fold.events else 0

    @property
    def sound(self) -> Path | None:
        """The recording, if there is one."""
        name = self.facts.sound
        path = self.folder / name if name else None
        return path if path is not None and path.is_file() else None

    @property
    def facts(self) -> Facts:
        """What is known of it beside what was said."""
        with self._turn:
            return facts_of(self._fold.events)

    def live(self) -> Record:
        """The record as it is now, with all that came after a signature."""
        with self._turn:
            facts = self.facts
            examined = Examined(facts.patient, facts.at, facts.sound_sha256)
            return replace(self._fold.record(), examined=examined)

    def record(self) -> Record:
        """The record for every output: as it was signed, with what came later as addenda; where
        nobody signed, as it is now."""
        with self._turn:
            live = self.live()
            signed = [e for e in self._fold.events if e["event"] == "signed"]
            if not signed:
                return live
            for event in signed:
                if event["n"] not in self._frozen:
                    self._frozen[event["n"]] = frozen(self.folder, event, self._at(event))
            rows = [(event, *self._frozen[event["n"]]) for event in signed]
            return with_addenda(rows, live, self._fold.events)

    def steps(self) -> tuple[Step, ...]:
        """What was decided by hand, in order, with what was undone since."""
        with self._turn:
            gone = self._fold.undone()
            return tuple(
                Step(e["n"], e["at"], e["event"], told(e, self.grammar), e["n"] in gone)
                for e in self._fold.events
                if e["event"] in (*BY_HAND, "signed")
            )

    def follow(self) -> list[Data]:
        """Take what another program has written since the last look.

        Returns:
            The new lines of the journal as they are (``DEVELOPERS.md``); none where this program
            is the writer.

        Raises:
            InputError: The other program wrote what this one does not know.
        """
        with self._turn:
            if self._journal is not None:
                return []
            new = self._tail.more()
            for event in new:
                self._fold.take(event)
            return new

    def events(self, after: int = 0) -> list[Data]:
        """The lines of the journal after a number."""
        with self._turn:
            return [event for event in self._fold.events if event["n"] > after]

    # ---- what is heard

    def hear(self, utterance: Utterance, more: bool = False) -> Heard:
        """Take one utterance of the narration.

        Args:
            utterance: As a recogniser or a typed line gave it.
            more: Others follow at once, and what this one changed need not be told.
        """
        with self._turn:
            settled = self._fold.session.settle(utterance)
            return self._decide("utterance", {"utterance": settled}, told=not more)

    def notice(self, sentence: str) -> None:
        """Add something that the reader of the record must know."""
        with self._turn:
            self._write("notice", sentence=sentence)

    # ---- by hand

    def correct(self, utterance: str, text: str) -> Heard:
        """Put other words in the place of an utterance's; all that follows is read again.

        Args:
            utterance: Its id.
            text: Its words as they should be.

        Raises:
            UsageError: There is no such utterance, or nothing would be left of it.
        """
        with self._turn:
            was, found = self._utterance(utterance)
            text = " ".join(text.split())
            if not text:
                raise UsageError("No words are left. Mark it as a remark, if it says nothing.")
            if text == found.text:
                raise UsageError("These are its words already.")
            return self._decide(
                "words", {"utterance": utterance, "was": was, "text": text}, reading=True
            )

    def sort(self, utterance: str, kind: UtteranceKind) -> Heard:
        """Say what an utterance is: a finding, talk with the patient, a remark.

        Args:
            utterance: Its id.
            kind: ``finding`` lets it be read as a statement whatever it sounds like; every other
                kind takes out what it brought.

        Raises:
            UsageError: There is no such utterance, or no such kind.
        """
        with self._turn:
            if kind not in UTTERANCE_KINDS:
                raise UsageError(f"There is no kind {kind!r}: {', '.join(UTTERANCE_KINDS)}.")
            was, found = self._utterance(utterance)
            if found.kind == kind:
                raise UsageError("It is that already.")
            return self._decide(
                "sorted", {"utterance": utterance, "was": was, "kind": kind}, reading=True
            )

    def type(self, text: str) -> Heard:
        """Add a statement in words ("left deltoid four plus"). It is read on its own: a side or
        a site that it lacks is asked for."""
        with self._turn:
            text = " ".join(text.split())
            if not text:
                raise UsageError("Type a statement.")
            return self._decide("typed", {"utterance": self._by_hand(text, "finding")})

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
        with self._turn:
            finding = checked_finding(self.grammar, test, site, side, value, detail)
            cited = self._by_hand(words or words_of(self.grammar, finding), "finding")
            finding = replace(finding, said=(whole(cited),))
            return self._decide("put", {"finding": finding, "utterance": cited})

    def change(
        self, finding: Finding | str, site: str | None = None, side: str | None = None,
        value: str | None = None, detail: Sequence[str] | None = None, words: str = "",
    ) -> Heard:  # fmt: skip
        """Change a finding by hand; the old one stays in the history.

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
        with self._turn:
            old = self._finding(finding)
            new = checked_finding(
                self.grammar, old.test,
                old.site if site is None else site or None,
                old.side if side is None else side or None,
                old.value if value is None else value,
                old.detail if detail is None else detail,
            )  # fmt: skip
            if (new.site, new.side, new.value, new.detail) == (
                old.site, old.side, old.value, old.detail,
            ):  # fmt: skip
                raise UsageError("It says that already.")
            cited = self._by_hand(words or words_of(self.grammar, new), "finding")
            kept = old.site_said if new.site == old.site else None
            new = replace(new, said=(*old.said, whole(cited)), site_said=kept)
            return self._decide(
                "changed",
                {"was": old, "about": self._about(old), "finding": new, "utterance": cited},
            )

    def take_out(self, finding: Finding | str) -> Heard:
        """Take a finding out; it stays in the history.

        Args:
            finding: A finding of ``live()``, or its ``key_of``.

        Raises:
            UsageError: There is no such finding.
        """
        with self._turn:
            old = self._finding(finding)
            cited = self._by_hand(f"{words_of(self.grammar, old)}: taken out", "command")
            return self._decide(
                "taken_out", {"was": old, "about": self._about(old), "utterance": cited}
            )

    def answer(self, question: str, words: str) -> Heard:
        """Answer an open question.

        Args:
            question: Its id.
            words: A choice's mark or label, or words ("four plus", "not tested").

        Raises:
            UsageError: No such question is open, or the words are no answer to it.
        """
        with self._turn:
            asked = next((q for q in self._fold.record().questions if q.id == question), None)
            if asked is None:
                raise UsageError(f"No question {question} is open.")
            return self._decide(
                "replied",
                {
                    "question": asked,
                    "about": self._fold.session.cited(asked.about),
                    "words": words,
                    "utterance": self._by_hand(words.strip(), "command"),
                },
            )

    def undo(self, number: int | None = None) -> Heard:
        """Undo what was decided by hand last, or one decision; that can be undone as well.

        Args:
            number: A step's number; None for the last one that counts.

        Raises:
            UsageError: There is nothing to undo, or it was signed.
        """
        with self._turn:
            return self._undo(number)

    def redo(self) -> Heard:
        """Undo the last undoing, where nothing was decided since.

        Raises:
            UsageError: There is none.
        """
        with self._turn:
            gone = self._fold.undone()
            for event in reversed(self._fold.events):
                if event["event"] in (*BY_HAND, "signed") and event["n"] not in gone:
                    break
                if event["event"] == "undone" and event["n"] not in gone:
                    return self._decide("undone", {"of": event["n"]})
            raise UsageError("There is nothing to do again.")

    def name_patient(self, patient: str) -> None:
        """Say who was examined.

        Raises:
            UsageError: Nothing was given.
        """
        with self._turn:
            patient = " ".join(patient.split())
            if not patient:
                raise UsageError("Give a name or a number for the patient.")
            self._decide("patient", {"patient": patient, "was": self.facts.patient})

    def sign(self, by: str) -> Signature:
        """Mark the note as checked, and freeze it with the hashes of record and note.

        What comes later is an addendum; signing again signs that.

        Args:
            by: The examiner's name.

        Raises:
            UsageError: No name, nothing to sign, or nothing new since the last signature.
            StorageError: It cannot be written.
        """
        with self._turn:
            self._may_write()
            by = " ".join(by.split())
            if not by:
                raise UsageError("Give the name of who checked the note.")
            record = self.record()
            last = record.examined.addenda if record.examined is not None else ()
            if record.examined is not None and record.examined.signature is not None:
                if not last or last[-1].signature is not None:
                    raise UsageError("It is signed, and nothing was changed since.")
            elif not record.utterances:
                raise UsageError("There is nothing to sign yet.")
            values = sign(self.folder, self.version + 1, self.live(), self.grammar)
            event = self._write("signed", by=by, **values)
            return Signature(by, event["at"], event["record"], event["note"])

    # ---- inside

    def _take_up(self, notices: Sequence[str]) -> None:
        path = self.folder / JOURNAL_NAME
        self._journal = Journal(path, self.version + 1)
        known = self._fold.record().notices
        for sentence in notices:
            if sentence not in known:
                self._write("notice", sentence=sentence)

    def _may_write(self) -> Journal:
        if self._journal is None:
            who = f"'dictate {self.held_by}'" if self.held_by else "Another program"
            raise UsageError(f"{who} is writing to this examination. Close it there first.")
        return self._journal

    def _write(self, event: str, **values: object) -> Data:
        """Write a line and follow it; a line that is not on disk is no line.

        Raises:
            UsageError: It cannot be followed.
            StorageError: It is not on disk.
        """
        journal = self._may_write()
        twin = self._fold.twin()
        plain = {name: to_plain(value) for name, value in values.items()}
        twin._take({"n": journal.next_number, "at": "", "event": event, **plain})
        return self._keep(twin, journal, event, plain)

    def _keep(self, twin: Fold, journal: Journal, event: str, plain: Data) -> Data:
        line = journal.write(event, **plain)
        if journal.fault:
            fault = journal.fault
            journal.withdraw()
            raise StorageError(
                f"It is not on disk: {fault}. Make room, and do it again; nothing was changed."
            )
        twin.events[-1].update(line)
        self._fold.become(twin)
        return line

    def _decide(self, event: str, values: Data, reading: bool = False, told: bool = True) -> Heard:
        """Follow a line on a twin, and write it with what it changed."""
        journal = self._may_write()
        plain = {name: to_plain(value) for name, value in values.items()}
        if reading:
            plain["reading"] = self._fold.readings
        self._mend()
        before, twin = self._fold.record(), self._fold.twin()
        try:
            twin._take({"n": journal.next_number, "at": "", "event": event, **plain})
        except FAULTS as fault:
            if isinstance(fault, UsageError):
                raise
            raise UsageError(f"That cannot be followed ({fault}).") from None
        self._check(event, plain, before, twin)
        heard = difference(before, twin.record())
        if told:
            plain |= {
                name: to_plain(getattr(heard, name))
                for name in ("added", "removed", "asked", "settled")
            }
        self._keep(twin, journal, event, plain)
        return heard

    def _mend(self) -> None:
        """An undoing comes to follow again what a program before this one may have refused."""

    def _check(self, event: str, plain: Data, before: Record, twin: Fold) -> None:
        """An answer that was none, refused in the session's own words."""
        if event != "replied":
            return
        identity = plain["question"]["id"]
        after = twin.record()
        skipped = len(after.history) > len(before.history)
        if any(q.id == identity for q in after.questions) and not skipped:
            self._fold.session.twin().answer(identity, plain["words"])  # raises and says why

    def _undo(self, number: int | None) -> Heard:
        gone = self._fold.undone()
        signed = max((e["n"] for e in self._fold.events if e["event"] == "signed"), default=0)
        able = [e for e in self._fold.events if e["event"] in BY_HAND and e["n"] not in gone]
        if number is not None:
            able = [event for event in able if event["n"] == number]
        if not able:
            raise UsageError("There is nothing to undo.")
        if able[-1]["n"] < signed and number is None:
            raise UsageError("What came before it was signed. Change it by hand: an addendum.")
        return self._decide("undone", {"of": able[-1]["n"]})

    def _at(self, event: Data) -> Record:
        """The record as it was when it was signed, as far as it can be worked out again."""
        fold = Fold(self.grammar)
        for line in self._fold.events:
            if line["n"] >= event["n"]:
                break
            fold.take(line)
        facts = facts_of(fold.events)
        examined = Examined(facts.patient, facts.at, facts.sound_sha256)
        return replace(fold.record(), examined=examined)

    def _finding(self, finding: Finding | str) -> Finding:
        for one in self._fold.record().findings:
            if one == finding or key_of(one) == finding:
                return one
        raise UsageError("There is no such finding (any more).")

    def _about(self, finding: Finding) -> list[Any]:
        return [to_plain(one) for one in self._fold.session.cited(finding.said)]

    def _utterance(self, identity: str) -> tuple[Data, Utterance]:
        """An utterance as it was heard first, and as it is."""
        found = [u for u in self._fold.record().utterances if u.id == identity]
        first = self._fold.heard_first(identity)
        if not found or first is None:
            raise UsageError(f"There is no utterance {identity}.")
        return first, found[-1]

    def _by_hand(self, text: str, kind: UtteranceKind) -> Utterance:
        number = self._may_write().next_number
        return Utterance(f"h{number}", text, kind=kind, hand="added")


def _grammar_of(events: Sequence[Data]) -> Path | None:
    named = events[0].get("grammar") if events else None
    with suppress(TypeError):
        return Path(named) if named else None
    return None
