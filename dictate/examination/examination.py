"""An examination in its folder, open for reading and (for one program at a time) for writing."""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from dictate import __version__
from dictate.errors import StorageError, UsageError
from dictate.examination.deeds import Deed, Deeds, key_of
from dictate.examination.facts import Facts, facts_of, new_patient
from dictate.examination.fold import FAULTS, Fold
from dictate.examination.handing import Handed
from dictate.examination.hands import Hands
from dictate.examination.lines import NotedJournal
from dictate.examination.signing import frozen, sign, with_addenda
from dictate.examination.steps import BY_HAND, CHANGES, OPENING, Data, Step
from dictate.examination.telling import told
from dictate.grammar.load import load_grammar
from dictate.journal.lock import FileLock
from dictate.journal.plain import to_plain
from dictate.journal.reading import Tail, read_journal
from dictate.journal.writing import FORMAT, JOURNAL_NAME, Journal
from dictate.model import Examined, Record, Signature, Utterance
from dictate.session import Heard, Session, difference
from dictate.store import make_folder, sha256_of

__all__ = ["Examination", "key_of"]


class Examination(Hands):
    """One examination. Every call may come from any thread.

    What was changed is on disk when a call returns. What cannot be done raises UsageError and
    changes nothing. What can be done by hand stands in ``Hands``.

    Attributes:
        folder: Where it is.
        grammar: Whose words count in it.
        held_by: The program that writes to it where this one may not ("listen", "review").
    """

    def __init__(self, folder: Path, fold: Fold, lock: FileLock, tail: Tail) -> None:
        """For ``create`` and ``open``."""
        self.folder, self.grammar = folder, fold.grammar
        self.held_by = ""
        self._program = "review"
        self._fold, self._lock, self._tail = fold, lock, tail
        self._journal: Journal | None = None
        self._handed = Handed(folder)
        self._unseen: list[Data] = []
        self._turn = threading.RLock()
        self._frozen: dict[int, tuple[Record, bool]] = {}

    # ---- beginning and end

    @classmethod
    def create(
        cls, folder: Path, program: str = "note", grammar: Path | None = None, patient: str = "",
        mode: str = "always", sound: str | None = None, session: Session | None = None,
    ) -> Examination:  # fmt: skip
        """Begin one in a folder.

        Args:
            folder: Made if it is missing, for its owner alone.
            program: What begins it ("note", "review", "listen").
            grammar: A folder of grammar files; None for the program's own.
            patient: Who was examined; left out, a random id.
            mode: When the examiner is listened to.
            sound: File name of the recording in the folder.
            session: A new one of that grammar, to be gone on with.

        Raises:
            UsageError: There is an examination in the folder, or somebody else begins one.
            StorageError: It cannot be written.
        """
        fold = Fold(session.grammar if session else load_grammar(grammar), session)
        make_folder(folder)
        path = folder / JOURNAL_NAME
        lock = FileLock(path)
        if path.exists():
            raise UsageError(
                f"There is an examination in {folder} already. Open it by 'dictate review "
                f"{folder}', or name another folder."
            )
        examination = cls(folder, fold, lock, Tail(path))
        examination._program = program
        examination._journal = Journal(path)
        if not lock.take():
            examination._journal.close()
            raise UsageError(f"Another program is writing to {folder}. Name another folder.")
        examination._write(
            "started", format=FORMAT, version=__version__, program=program, mode=mode, sound=sound,
            grammar=str(grammar.absolute()) if grammar is not None else None,
            patient=patient or new_patient(),
        )  # fmt: skip
        return examination

    @classmethod
    def open(
        cls, folder: Path, program: str = "review", write: bool = True,
        session: Session | None = None,
    ) -> Examination:  # fmt: skip
        """Open one.

        Where another program writes to it, it is opened for reading (``writes`` is False), and
        ``follow`` brings what the other one writes.

        Args:
            folder: Where it is.
            program: What opens it; others are told so.
            write: Whether to write, if no other program does.
            session: A new one of its grammar, to be gone on with.

        Raises:
            InputError: There is none, or it cannot be understood.
            StorageError: It cannot be written.
        """
        path = folder / JOURNAL_NAME
        lock = FileLock(path)
        mine = write and lock.take()
        try:
            found = read_journal(path)
            named = found.events[0].get("grammar")
            grammar = session.grammar if session else load_grammar(Path(named) if named else None)
            fold = Fold(grammar, session)
            for event in found.events:
                fold.take(event)
            examination = cls(folder, fold, lock, Tail(path, found.size, found.next_number - 1))
            examination._program = program
            if mine:
                examination._begin_writing(found.notices)
            elif write:
                examination.held_by = _holder(fold.events)
        except BaseException:
            lock.release()
            raise
        return examination

    def close(self) -> None:
        """Take what was handed over last, and let others write."""
        with self._turn:
            if self._journal is None:
                return
            with self._handed.last() as deeds:
                for deed in deeds:
                    self._take_deed(deed)
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
        """Whether this program writes to it."""
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
            return self._with_facts(self._fold)

    def record(self) -> Record:
        """The record for every output: as it was signed, with what came later as addenda; where
        nobody signed, as it is now."""
        with self._turn:
            signed = [e for e in self._fold.events if e["event"] == "signed"]
            if not signed:
                return self.live()
            for event in signed:
                if event["n"] not in self._frozen:
                    again = self._with_facts(self._until(int(event["n"])))
                    self._frozen[event["n"]] = frozen(self.folder, event, again)
            rows = [(event, *self._frozen[event["n"]]) for event in signed]
            return with_addenda(rows, self.live(), self._fold.events)

    def steps(self) -> tuple[Step, ...]:
        """What was decided by hand, in order, with what was undone since."""
        with self._turn:
            gone = self._fold.undone()
            return tuple(
                Step(e["n"], e["at"], e["event"], told(e, self.grammar), e["n"] in gone)
                for e in self._fold.events
                if e["event"] in (*BY_HAND, "signed")
            )

    def events(self, after: int = 0) -> list[Data]:
        """The lines of the journal after a number, as they are (``DEVELOPERS.md``)."""
        with self._turn:
            return [event for event in self._fold.events if event["n"] > after]

    def follow(self) -> list[Data]:
        """Take what another program has written since the last look.

        Returns:
            The new lines of the journal; none where this program is the writer.

        Raises:
            InputError: The other program wrote what this one does not know.
        """
        with self._turn:
            self._look()
            new, self._unseen = self._unseen, []
            return new

    # ---- what is heard

    @property
    def fold(self) -> Fold:
        """What the lines have come to; to be read."""
        return self._fold

    @property
    def lines(self) -> NotedJournal:
        """The journal, for a program that tells the session itself what it hears.

        Raises:
            UsageError: Another program writes.
        """
        return NotedJournal(self._may_write(), self._fold, self._turn)

    def hear(self, utterance: Utterance) -> Heard:
        """Take one utterance of the narration.

        Args:
            utterance: As a recogniser or a typed line gave it.
        """
        with self._turn:
            self._may_write()
            settled = self._fold.session.settle(utterance)
            return self._decide(Deed("utterance", {"utterance": settled}))

    def keep_sound(self, name: str) -> None:
        """Say that a recording in the folder is whole, and what its hash is.

        Args:
            name: Its file name.

        Raises:
            StorageError: It cannot be read, or the journal not be written.
        """
        with self._turn:
            sha256 = sha256_of(self.folder / name)
            facts = self.facts
            if (facts.sound, facts.sound_sha256) != (name, sha256):
                self._write("sound", name=name, sha256=sha256)

    def end_reading(self, before: Record) -> None:
        """All of a recording or text was heard.

        Args:
            before: The record when its reading began.

        Raises:
            StorageError: It is not on disk.
        """
        with self._turn:
            journal = self._may_write()
            twin = self._fold.twin()
            twin.follow({"n": journal.next_number, "at": "", "event": "read"})
            heard = difference(before, twin.record())
            plain = {name: to_plain(getattr(heard, name)) for name in CHANGES}
            self._keep(twin, journal, "read", plain, "")

    def notice(self, sentence: str) -> None:
        """Add something that the reader of the record must know."""
        with self._turn:
            self._write("notice", sentence=sentence)

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
            number = self._may_write().next_number
            by = " ".join(by.split())
            if not by:
                raise UsageError("Give the name of who checked the note.")
            record = self.record()
            examined = record.examined
            if examined is not None and examined.signature is not None:
                if not examined.addenda or examined.addenda[-1].signature is not None:
                    raise UsageError("It is signed, and nothing was changed since.")
            elif not record.utterances:
                raise UsageError("There is nothing to sign yet.")
            values = sign(self.folder, number, self.live(), self.grammar)
            event = self._write("signed", by=by, **values)
            return Signature(by, event["at"], event["record"], event["note"])

    # ---- inside

    def _with_facts(self, fold: Fold) -> Record:
        facts = facts_of(fold.events)
        return replace(
            fold.record(), examined=Examined(facts.patient, facts.at, facts.sound_sha256)
        )

    def _until(self, number: int) -> Fold:
        """The examination as it was before a line."""
        fold = Fold(self.grammar)
        for line in self._fold.events:
            if line["n"] < number:
                fold.take(line)
        return fold

    def _begin_writing(self, notices: Sequence[str] = ()) -> None:
        """This program holds the lock and knows every line."""
        self._journal = Journal(self.folder / JOURNAL_NAME, self.version + 1)
        self.held_by = ""
        self._write("opened", format=FORMAT, version=__version__, program=self._program)
        known = self._fold.record().notices
        for sentence in notices:
            if sentence not in known:
                self._write("notice", sentence=sentence)
        self.take_handed()

    def _look(self) -> None:
        if self._journal is None:
            for event in self._tail.more():
                self._fold.take(event)
                self._unseen.append(event)

    def _may_write(self) -> Journal:
        if self._journal is None:
            who = f"'dictate {self.held_by}'" if self.held_by else "Nobody"
            raise UsageError(f"{who} is writing to this examination. Close it there first.")
        return self._journal

    def _write(self, event: str, handed: str = "", **values: object) -> Data:
        """Write a line and follow it; a line that is not on disk is no line."""
        journal = self._may_write()
        plain = {name: to_plain(value) for name, value in values.items()}
        twin = self._fold.twin()
        twin.follow({"n": journal.next_number, "at": "", "event": event, **plain})
        return self._keep(twin, journal, event, plain, handed)

    def _decide(self, deed: Deed, handed: str = "") -> Heard:
        """Follow a deed on a twin, and write it with what it changed."""
        journal = self._may_write()
        plain = {name: to_plain(value) for name, value in deed.values.items()}
        before, twin = self._fold.record(), self._fold.twin()
        try:
            twin.follow(
                {"n": journal.next_number, "at": "", "event": deed.event, **plain}, strict=True
            )
        except UsageError:
            raise
        except FAULTS as fault:
            raise UsageError(f"That cannot be followed ({fault}).") from None
        heard = difference(before, twin.record())
        for name in CHANGES:
            plain[name] = to_plain(getattr(heard, name))
        if deed.event == "utterance":
            plain["kind"] = twin.record().utterances[-1].kind
        self._keep(twin, journal, deed.event, plain, handed)
        return heard

    def _keep(self, twin: Fold, journal: Journal, event: str, plain: Data, handed: str) -> Data:
        mark = {"handed": handed} if handed else {}
        line = journal.write(event, **plain, **mark)
        if journal.fault and journal.withdraw():
            raise StorageError(
                f"It is not on disk: {journal.fault}. Make room, and do it again; nothing was "
                "changed."
            )
        twin.events[-1].update(line)
        self._fold.become(twin)
        return line

    def _deeds(self) -> Deeds:
        return Deeds(self._fold, self._may_write().next_number)


def _holder(events: Sequence[Data]) -> str:
    """The program that opened it last, by its own word."""
    named = [str(e.get("program") or "listen") for e in events if e["event"] in OPENING]
    return named[-1] if named else "another program"
