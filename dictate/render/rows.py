"""The findings as a table for research: comma-separated values (RFC 4180), one row a finding."""

from __future__ import annotations

import csv
import io

from dictate.grammar import Grammar
from dictate.grammar.names import site_words, value_words
from dictate.model import Finding, Record
from dictate.render.terms import term_of

#: The columns, in their order.
COLUMNS = (
    "patient", "begun", "signed_by", "signed_at", "section", "test", "test_name", "site",
    "site_name", "side", "value", "value_words", "normal", "detail", "checked", "said",
    "start_s", "end_s", "hpo_id", "hpo_label",
)  # fmt: skip
#: A cell that opens with one of these is a formula to a spreadsheet (OWASP, "CSV Injection").
_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n")


def rows(record: Record, grammar: Grammar) -> str:
    """Write the findings as comma-separated values with a line of column names.

    Text that a spreadsheet would take for a formula gets an apostrophe in front; numbers of
    seconds stay numbers.

    Args:
        record: Its open questions are in no row.
        grammar: Where the words come from.

    Returns:
        Lines ended by CR and LF.
    """
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(COLUMNS)
    for finding in record.findings:
        writer.writerow([_cell(cell) for cell in _row(record, grammar, finding)])
    return out.getvalue()


def _row(record: Record, grammar: Grammar, finding: Finding) -> tuple[object, ...]:
    about = record.examined
    signature = about.signature if about else None
    texts = {utterance.id: utterance.text for utterance in record.utterances}
    said = (
        " ".join(texts.get(place.utterance, "")[place.start : place.end].split())
        for place in finding.said
    )
    starts = [place.start_s for place in finding.said if place.start_s is not None]
    ends = [place.end_s for place in finding.said if place.end_s is not None]
    term = term_of(grammar, finding)
    return (
        about.patient if about else "",
        about.at if about else "",
        signature.by if signature else "",
        signature.at if signature else "",
        grammar.area_of(finding.test).area,
        finding.test,
        grammar.tests[finding.test].name,
        finding.site,
        site_words(grammar, finding.test, finding.site, finding.site_said) if finding.site else "",
        finding.side,
        finding.value,
        value_words(grammar, finding.test, finding.value),
        finding.normal,
        "; ".join(finding.detail),
        finding.checked,
        " ... ".join(dict.fromkeys(said)),
        min(starts, default=None),
        max(ends, default=None),
        term.id if term else "",
        term.label if term else "",
    )


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.3f}"
    text = str(value)
    return f"'{text}" if text.startswith(_FORMULA) else text
