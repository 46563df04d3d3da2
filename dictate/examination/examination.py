"""An examination in its folder, open for reading and (for one program at a time) for writing."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from pathlib import Path

from dictate import __version__
from dictate.errors import StorageError, UsageError
from dictate.examination.deeds import Deed, key_of, key_of_question
from dictate.examination.facts import Facts, facts_of, holder_of, new_patient
from dictate.examination.fold import Fold
from dictate.examination.hands import Hands
from dictate.examination.lines import NotedJournal
from dictate.examination.signing import frozen, sign, with_addenda
from dictate.examination.steps import BY_HAND, CHANGES, Step
from dictate.examination.telling import told
from dictate.grammar.load import load_grammar
from dictate.journal.lock import FileLock
from dictate.journal.plain import to_plain
from dictate.journal.reading import Tail, read_journal
from dictate.journal.writing import FORMAT, JOURNAL_NAME, Journal
from dictate.model import Record, Signature, Utterance
from dictate.session import Heard, Session, difference
from dictate.store import make_folder, sha256_of

__all__ = ["Examination", "key_of", "key_of_question"]


class Examination(Hands):
    """One examination. Every call may come from any thread.

    What was changed is on disk when a call returns. What cannot be done raises UsageError and
    changes nothing. What can be done by hand stands in ``Hands``.
    """

    def __init__(self, folder: Path, fold: Fold, lock: FileLock, tail: Tail, program: str) -> None:
        """For ``create`` and ``open``."""
        super().__init__(folder, fold, lock, tail, program)
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
        examination = cls(folder, fold, lock, Tail(path), program)
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
        session: Session | None = None, compare: bool = False,
        tell: Callable[[int, int], None] | None = None,
    ) -> Examination:  # fmt: skip
        """Open one.

        Where another program writes to it, it is opened for reading (``writes`` is False), and
        ``follow`` brings what the other one writes.

        Args:
            folder: Where it is.
            program: What opens it; others are told so.
            write: Whether to write, if no other program does.
            session: A new one of its grammar, to be gone on with.
            compare: Find out whether all is understood as it was (``fold.differs``).
            tell: Told now and then how many lines are followed, and of how many.

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
            fold.load(found.events, compare, *([tell] if tell is not None else []))
            tail = Tail(path, found.size, found.next_number - 1)
            examination = cls(folder, fold, lock, tail, program)
            if mine:
                examination._begin_writing(found.notices)
            elif write:
                examination.held_by = holder_of(fold.events)
        except BaseException:
            lock.release()
            raise
        return examination

    def close(self) -> None:
        """Take what was handed over last, and let others write."""
        with self._turn:
            if self._journal is None:
                return
            try:
                with self._handed.last() as deeds:
                    self._take_all(deeds)
                    self._let_go()
            except StorageError:  # what was handed over stays there, for whoever writes next
                self._let_go()

    def _let_go(self) -> None:
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
        """The record for every output: as it was signed, with addenda; unsigned, as it is now."""
        with self._turn:
            signed = [e for e in self._fold.events if e["event"] == "signed"]
            if not signed:
                return self.live()
            for event in signed:
                number = int(event["n"])
                if number not in self._frozen:
                    self._frozen[number] = frozen(self.folder, event, partial(self._until, number))
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
        """Take one utterance of the narration, as a recogniser or a typed line gave it."""
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

    def wrote(self, files: dict[str, str]) -> None:
        """Say which files were made of it, by name, with their hashes (SHA-256).

        Raises:
            StorageError: The journal cannot be written.
        """
        with self._turn:
            self._write("written", files=files)

    @property
    def written(self) -> dict[str, str]:
        """The files that were made of it last, by name, with their hashes (SHA-256)."""
        with self._turn:
            files = [e["files"] for e in self._fold.events if e["event"] == "written"]
            return dict(files[-1]) if files else {}

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
