"""One output of an examination that is kept: read here, made by its renderer."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from dictate.errors import InputError, StorageError, UsageError
from dictate.examination import Examination
from dictate.grammar import Grammar, load_grammar
from dictate.journal.writing import JOURNAL_NAME
from dictate.model import Finding, Record
from dictate.render import RENDERERS, read_record
from dictate.store import write_private

#: The record's file in a folder that ``dictate note --out`` wrote.
RECORD_NAME = "record.json"


def exported(path: Path, name: str, folder: Path | None = None) -> str | bytes:
    """Make an output of an examination.

    Args:
        path: The folder of an examination, or the file of a record. Nothing in it is changed.
        name: One of ``RENDERERS``.
        folder: Grammar files; None for those that the examination was made with.

    Raises:
        InputError: There is no examination or record, it is damaged, or it cannot be this output.
        GrammarError: The grammar files are not understood.
        StorageError: It cannot be read.
    """
    record, grammar = _read(path, folder)
    _known_words(record, grammar)
    return RENDERERS[name].function(record, grammar)


def write_export(content: str | bytes, to: Path, replace: bool) -> None:
    """Write an output to a file, for its owner alone.

    Args:
        content: What ``exported`` gave.
        to: The file.
        replace: Whether a file of this name may be written over.

    Raises:
        UsageError: There is one, and nobody said that it may be; or it is no file.
        StorageError: It cannot be written.
    """
    if to.is_dir():
        raise UsageError(f"{to} is a folder. Name a file in it.")
    if to.exists() and not to.is_file():
        raise UsageError(f"{to} is no ordinary file. Leave --to away, and send the output there.")
    if not replace and (to.exists() or to.is_symlink()):
        raise UsageError(f"{to} is there already. Name another file, or say --replace.")
    write_private(to, content)


def _read(path: Path, folder: Path | None) -> tuple[Record, Grammar]:
    if (path / JOURNAL_NAME).is_file():
        with Examination.open(path, program="export", write=False) as examination:
            grammar = load_grammar(folder) if folder else examination.grammar
            return examination.record(), grammar
    file = path / RECORD_NAME if path.is_dir() else path
    if not file.is_file():
        raise InputError(
            f"There is no examination in {path}. Name the folder of one, or its {RECORD_NAME}."
        )
    try:
        text = file.read_bytes().decode("utf-8-sig")
    except OSError as fault:
        raise StorageError(f"{file} cannot be read: {fault.strerror}. Check the disk.") from None
    except UnicodeDecodeError:
        raise InputError(f"{file} is no record: it is not text. Choose a record file.") from None
    return read_record(text), load_grammar(folder)


def _known_words(record: Record, grammar: Grammar) -> None:
    """Refuse a record that was made with another grammar: its words could not be written."""
    for finding in _findings(record):
        known = finding.test in grammar.tests
        if not known or (finding.site and finding.site not in grammar.sites_of(finding.test)):
            place = f" at {finding.site!r}" if known else ""
            raise InputError(
                f"The grammar has no test {finding.test!r}{place}, which is in the record. "
                "Name the grammar that it was made with (--grammar FOLDER)."
            )


def _findings(record: Record) -> Iterator[Finding]:
    """Every finding that an output may have to name."""
    questions = [*record.questions]
    yield from record.findings
    for addendum in record.examined.addenda if record.examined else ():
        yield from (*addendum.added, *addendum.removed)
        questions += [*addendum.asked, *addendum.settled]
    for question in questions:
        for choice in question.choices:
            yield from choice.findings
