"""An index of the examinations, to find words and findings: SQLite with its full text search.

It can be thrown away: what is missing or damaged is built again from the folders. Where something
is removed it is written anew without it, since a database keeps rests of what was deleted.
"""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from pathlib import Path

from dictate.errors import DictateError, StorageError, UsageError
from dictate.examination import Examination
from dictate.grammar.wording import finding_phrase
from dictate.journal.writing import JOURNAL_NAME
from dictate.library.place import Library
from dictate.model import Finding, Record
from dictate.render.standing import all_signed, is_signed

#: Its file, in the folder of the library.
INDEX_NAME = "index.sqlite"
#: Of these tables; an index of another number is built again.
_VERSION = 2
_TABLES = """
CREATE TABLE examination (
  id INTEGER PRIMARY KEY, folder TEXT UNIQUE, stamp TEXT, patient TEXT, at TEXT, state TEXT,
  findings INTEGER, questions INTEGER
);
CREATE TABLE finding (
  examination INTEGER, test TEXT, site TEXT, side TEXT, value TEXT, phrase TEXT
);
CREATE INDEX of_test ON finding (test, site, value);
CREATE VIRTUAL TABLE said USING fts5 (text, examination UNINDEXED, tokenize = 'porter unicode61');
"""


@dataclass(frozen=True, slots=True)
class Entry:
    """One examination of the library.

    ``state``: ``signed by ...``, ``draft``, ``broken off`` or ``cannot be read``, for people.
    ``at``: when it began (ISO 8601, UTC). ``words``: what was looked for, as it was found.
    """

    folder: Path
    patient: str
    at: str
    state: str
    findings: int
    questions: int
    words: tuple[str, ...] = ()


class Index:
    """The index of a library, as new as its folders."""

    def __init__(self, library: Library) -> None:
        """Name a library; nothing is read."""
        self._library = library
        self._path = library.root / INDEX_NAME

    def entries(self) -> list[Entry]:
        """Every examination, the latest first.

        Raises:
            StorageError: The index cannot be written.
        """
        with self._open() as base:
            return [self._entry(row) for row in base.execute(f"{_SELECT} ORDER BY at DESC, folder")]

    def folder_of(self, name: str) -> Path:
        """The folder that a name means: a path, its name in the library, or the patient's id.

        Raises:
            UsageError: None, or more than one.
            StorageError: The index cannot be written.
        """
        folder = self._library.called(name)
        if folder is not None:
            return folder
        there = self.entries() if self._library.root.is_dir() else []
        of_patient = [entry.folder for entry in there if entry.patient == name]
        if len(of_patient) == 1:
            return of_patient[0]
        if of_patient:
            names = ", ".join(self._library.name_of(folder) for folder in of_patient)
            raise UsageError(f"The patient {name} has more than one examination: {names}.")
        raise UsageError(
            f"There is no examination {name} in {self._library.root}. 'dictate list' lists them."
        )

    def find(
        self, words: str, findings: Sequence[Finding], since: str = "", until: str = ""
    ) -> list[Entry]:
        """Examinations in which something was said or found, the latest first.

        Args:
            words: Words that were all said in one statement, or stand in one finding; "" for any.
            findings: Findings of which one is in it (test, site, side and value; no side: any).
            since: The first day or moment that counts (ISO 8601); "" for any.
            until: The last one; a day counts to its end.

        Raises:
            StorageError: The index cannot be written.
        """
        with self._open() as base:
            found: dict[int, list[str]] = {}
            for examination, text in _matches(base, words, findings):
                found.setdefault(examination, []).append(text)
            entries = []
            for row in base.execute(f"{_SELECT} ORDER BY at DESC, folder"):
                asked = bool(words) or bool(findings)
                if (asked and row["id"] not in found) or not _in_time(row["at"], since, until):
                    continue
                texts = dict.fromkeys(found.get(row["id"], []))
                entries.append(self._entry(row, tuple(texts)))
            return entries

    def forget(self, folder: Path) -> None:
        """Leave nothing of an examination in the index.

        Raises:
            StorageError: The index cannot be written.
        """
        name = self._library.name_of(folder)
        fresh = self._path.with_name(f".{INDEX_NAME}")
        with self._open() as base:
            rows = [row for row in base.execute(_SELECT) if row["folder"] != name]
            _delete(fresh)
            with _connected(fresh) as new:
                for row in rows:
                    _copy(base, new, row)
        _delete(self._path)
        os.replace(fresh, self._path)

    # ---- inside

    @contextmanager
    def _open(self) -> Iterator[sqlite3.Connection]:
        """The index, brought up to date; built again where it is damaged."""
        try:
            try:
                with _connected(self._path) as base:
                    self._refresh(base)
            except sqlite3.DatabaseError:
                _delete(self._path)
                with _connected(self._path) as base:
                    self._refresh(base)
            with _connected(self._path) as base:
                yield base
        except (sqlite3.Error, OSError) as fault:
            raise StorageError(
                f"The index in {self._library.root} cannot be written ({fault}). "
                "Choose another library, or make room."
            ) from None

    def _refresh(self, base: sqlite3.Connection) -> None:
        known = {row["folder"]: row for row in base.execute(_SELECT)}
        here: set[str] = set()
        for folder in self._library.folders():
            name = self._library.name_of(folder)
            here.add(name)
            stamp = _stamp(folder)
            if name not in known or known[name]["stamp"] != stamp:
                with base:
                    _drop(base, name)
                    _read(base, name, folder, stamp)
        for name in known.keys() - here:
            with base:
                _drop(base, name)

    def _entry(self, row: sqlite3.Row, words: tuple[str, ...] = ()) -> Entry:
        return Entry(
            self._library.root / row["folder"], row["patient"], row["at"], row["state"],
            row["findings"], row["questions"], words,
        )  # fmt: skip


_SELECT = "SELECT id, folder, stamp, patient, at, state, findings, questions FROM examination"


@contextmanager
def _connected(path: Path) -> Iterator[sqlite3.Connection]:
    if not path.exists():
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        os.close(os.open(path, os.O_CREAT | os.O_WRONLY, 0o600))
    with closing(sqlite3.connect(path, timeout=10)) as base:
        base.row_factory = sqlite3.Row
        base.execute("PRAGMA journal_mode = WAL")
        base.execute("PRAGMA secure_delete = ON")
        (version,) = base.execute("PRAGMA user_version").fetchone()
        if version != _VERSION:
            if version or base.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]:
                raise sqlite3.DatabaseError("an index of another version")
            base.executescript(f"BEGIN;{_TABLES}PRAGMA user_version = {_VERSION};COMMIT;")
        yield base


def _delete(path: Path) -> None:
    for ending in ("", "-wal", "-shm"):
        path.with_name(path.name + ending).unlink(missing_ok=True)


def _stamp(folder: Path) -> str:
    known = (folder / JOURNAL_NAME).stat()
    return f"{known.st_mtime_ns}/{known.st_size}/{known.st_ino}"


def _drop(base: sqlite3.Connection, name: str) -> None:
    row = base.execute("SELECT id FROM examination WHERE folder = ?", (name,)).fetchone()
    if row is not None:
        base.execute("DELETE FROM said WHERE examination = ?", (row["id"],))
        base.execute("DELETE FROM finding WHERE examination = ?", (row["id"],))
        base.execute("DELETE FROM examination WHERE id = ?", (row["id"],))


def _read(base: sqlite3.Connection, name: str, folder: Path, stamp: str) -> None:
    try:
        examination = Examination.open(folder, write=False)
    except DictateError:
        _add(base, (name, stamp, "", "", "cannot be read", 0, 0), [], [])
        return
    record, live, known = examination.record(), examination.live(), examination.facts
    row = (
        name, stamp, known.patient, known.at, _state(record, known.ended),
        len(live.findings), len(live.questions),
    )  # fmt: skip
    findings = [
        (f.test, f.site, f.side, f.value, finding_phrase(examination.grammar, f))
        for f in dict.fromkeys([*record.findings, *live.findings])
    ]
    texts = [utterance.text for utterance in live.utterances]
    _add(base, row, findings, [*texts, *(finding[-1] for finding in findings)])


def _state(record: Record, ended: bool) -> str:
    """In the list: signed and by whom, and what of it is not (any more)."""
    signature = record.examined.signature if record.examined is not None else None
    if signature is None:
        return "draft" if ended else "broken off"
    if not is_signed(record):
        return f"draft: changed since {signature.by} signed it"
    return f"signed by {signature.by}" + ("" if all_signed(record) else "; an addendum is a draft")


def _add(
    base: sqlite3.Connection, row: tuple[object, ...], findings: Sequence[tuple[object, ...]],
    texts: Sequence[str],
) -> None:  # fmt: skip
    made = base.execute(
        "INSERT INTO examination (folder, stamp, patient, at, state, findings, questions) "
        "VALUES (?, ?, ?, ?, ?, ?, ?)",
        row,
    )
    base.executemany(
        "INSERT INTO finding VALUES (?, ?, ?, ?, ?, ?)", [(made.lastrowid, *f) for f in findings]
    )
    base.executemany(
        "INSERT INTO said (text, examination) VALUES (?, ?)", [(t, made.lastrowid) for t in texts]
    )


def _copy(base: sqlite3.Connection, new: sqlite3.Connection, row: sqlite3.Row) -> None:
    of = (row["id"],)
    findings = base.execute(
        "SELECT test, site, side, value, phrase FROM finding WHERE examination = ?", of
    ).fetchall()
    texts = base.execute("SELECT text FROM said WHERE examination = ?", of).fetchall()
    with new:
        _add(new, tuple(row)[1:], [tuple(f) for f in findings], [text[0] for text in texts])


def _matches(
    base: sqlite3.Connection, words: str, findings: Sequence[Finding]
) -> Iterator[tuple[int, str]]:
    quoted = " ".join('"' + word.replace('"', "") + '"' for word in words.split())
    if quoted.replace('"', "").strip():
        sought = "SELECT examination, text FROM said WHERE said MATCH ? ORDER BY rank"
        yield from map(tuple, base.execute(sought, (quoted,)))
    for finding in findings:
        yield from map(
            tuple,
            base.execute(
                "SELECT examination, phrase FROM finding WHERE test = ? AND site IS ? "
                "AND value = ? AND (? IS NULL OR side IS ?)",
                (finding.test, finding.site, finding.value, finding.side, finding.side),
            ),
        )


def _in_time(at: str, since: str, until: str) -> bool:
    # a day is shorter than a moment of it, so what begins with it is in it
    return (not since or at >= since) and (not until or at <= until or at.startswith(until))
