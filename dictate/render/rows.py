"""The findings as a table for research: comma-separated values (RFC 4180), one row a finding."""

from __future__ import annotations

import csv
import io

from dictate.grammar import Grammar
from dictate.grammar.names import site_words
from dictate.grammar.wording import finding_phrase
from dictate.model import Examined, Record, Signature
from dictate.render.spoken import Spoken
from dictate.render.standing import Stated, stated
from dictate.render.terms import term_of

#: The columns, in their order.
COLUMNS = (
    "patient", "begun", "state", "signed_by", "signed_at", "section", "test", "test_name", "site",
    "site_name", "side", "value", "phrase", "normal", "detail", "checked", "said", "by_hand",
    "start_s", "end_s", "hpo_id", "hpo_label",
)  # fmt: skip
#: A cell that opens with one of these is a formula to a spreadsheet (OWASP, "CSV Injection").
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")


def rows(record: Record, grammar: Grammar) -> str:
    """Write the findings as comma-separated values with a line of column names.

    Text that a spreadsheet would take for a formula gets an apostrophe in front; numbers of
    seconds stay numbers. What a signed addendum takes out has no row.

    Args:
        record: Its open questions are in no row.
        grammar: Where the words come from.

    Returns:
        Lines ended by CR and LF.
    """
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(COLUMNS)
    spoken = Spoken(record)
    for row in stated(record):
        if not row.withdrawn:
            writer.writerow([_cell(cell) for cell in _row(record, grammar, spoken, row)])
    return out.getvalue()


def _row(record: Record, grammar: Grammar, spoken: Spoken, row: Stated) -> tuple[object, ...]:
    about, finding = record.examined, row.finding
    signature = _signature(about, row) if about and row.state == "signed" else None
    words = spoken.words(row)
    starts = [place.start_s for place in finding.said if place.start_s is not None]
    ends = [place.end_s for place in finding.said if place.end_s is not None]
    term = term_of(grammar, finding)
    return (
        about.patient if about else "",
        about.at if about else "",
        _state(row),
        signature.by if signature else "",
        signature.at if signature else "",
        grammar.area_of(finding.test).area,
        finding.test,
        grammar.tests[finding.test].name,
        finding.site,
        site_words(grammar, finding.test, finding.site, finding.site_said) if finding.site else "",
        finding.side,
        finding.value,
        finding_phrase(grammar, finding),
        finding.normal,
        "; ".join(finding.detail),
        finding.checked,
        " ... ".join(words.values()),
        "; ".join(hand for hand in words if hand),
        min(starts, default=None),
        max(ends, default=None),
        term.id if term else "",
        term.label if term else "",
    )


def _signature(about: Examined, row: Stated) -> Signature | None:
    return about.signature if row.addendum is None else about.addenda[row.addendum - 1].signature


def _state(row: Stated) -> str:
    words: list[str] = [row.state]
    if row.addendum is not None:
        words.append(f"of addendum {row.addendum}")
    if row.taken_out is not None:
        words.append(f"taken out by addendum {row.taken_out}, which is not signed")
    return ", ".join(words)


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.3f}"
    text = str(value)
    return f"'{text}" if text.startswith(_FORMULA) else text
