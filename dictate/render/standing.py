"""Whether a record is signed or a draft, and which findings stand after what came later."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Literal

from dictate.model import Finding, Question, Record, Signature

DRAFT = "Draft, not signed"
#: What an examiner is to know of the hashes.
HASHES = "The hashes (SHA-256) show that something was changed, and not who changed it."

State = Literal["draft", "signed"]


@dataclass(frozen=True, slots=True)
class Stated:
    """A finding and how it stands.

    ``state``: whether somebody signed it. ``addendum``: number (from 1) of the addendum that added
    it; None where it is of the record itself. ``taken_out``: number of the addendum that takes it
    out again; ``withdrawn``: that one is signed, so the finding stands no more.
    """

    finding: Finding
    state: State
    addendum: int | None = None
    taken_out: int | None = None
    withdrawn: bool = False


def is_signed(record: Record) -> bool:
    """Whether the record itself is signed, and still is what was signed."""
    return record.examined is not None and _holds(record.examined.signature)


def all_signed(record: Record) -> bool:
    """Whether every addendum is signed too."""
    if record.examined is None or not is_signed(record):
        return False
    return all(_holds(addendum.signature) for addendum in record.examined.addenda)


def state_words(record: Record) -> str:
    """Whether it is signed, by whom and when; a phrase without a full stop."""
    signature = record.examined.signature if record.examined else None
    if record.examined is None or signature is None:
        return DRAFT
    by = f"by {one_line(signature.by)}, {when(signature.at)}"
    if not signature.holds:
        return f"{DRAFT}: it was signed {by}, but what is kept is no longer what was signed"
    words = f"Checked and signed {by}"
    addenda = record.examined.addenda
    if addenda and all_signed(record):
        return f"{words}, with {_count(len(addenda))}, signed too"
    return f"{words}, with {_count(len(addenda))}, not all signed" if addenda else words


def stated(record: Record) -> tuple[Stated, ...]:
    """Every finding of the record and of its addenda, in order, and how it stands."""
    rows = [Stated(f, "signed" if is_signed(record) else "draft") for f in record.findings]
    for number, addendum in enumerate(record.examined.addenda if record.examined else (), 1):
        signed = _holds(addendum.signature)
        for finding in addendum.removed:
            rows = _without(rows, finding, number, signed)
        rows += [Stated(f, "signed" if signed else "draft", number) for f in addendum.added]
    return tuple(rows)


def still_asked(record: Record) -> tuple[Question, ...]:
    """The questions that are open, after what the addenda settled and asked."""
    rows = list(record.questions)
    for addendum in record.examined.addenda if record.examined else ():
        rows = [one for one in rows if one not in addendum.settled]
        rows += [one for one in addendum.asked if one not in rows]
    return tuple(rows)


def when(at: str) -> str:
    """A time of day as people write it ("2026-01-02 10:20 UTC"); as it is where it is none."""
    try:
        time = datetime.fromisoformat(at)
    except ValueError:
        return one_line(at)
    return f"{time.astimezone(UTC) if time.tzinfo else time:%Y-%m-%d %H:%M} UTC"


def one_line(text: str) -> str:
    """Text without line breaks."""
    return " ".join(text.split())


def _holds(signature: Signature | None) -> bool:
    return signature is not None and signature.holds


def _count(number: int) -> str:
    return "1 addendum" if number == 1 else f"{number} addenda"


def _without(rows: list[Stated], gone: Finding, number: int, signed: bool) -> list[Stated]:
    """The rows with the latest one of this finding taken out."""
    for i in reversed(range(len(rows))):
        row = rows[i]
        if row.finding == gone and row.taken_out is None:
            rows[i] = Stated(row.finding, row.state, row.addendum, number, signed)
            break
    return rows
