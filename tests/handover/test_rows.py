"""Comma-separated values (RFC 4180)."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

from dictate.model import Examined, Finding, Place, Record, Utterance
from dictate.render.rows import COLUMNS, rows


def _read(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline="")))


def test_one_row_a_finding(session, signed) -> None:
    read = _read(rows(signed, session.grammar))
    assert len(read) == len(signed.findings)
    assert tuple(read[0]) == COLUMNS
    keys = [(row["test"], row["site"], row["side"], row["value"]) for row in read]
    assert keys == [(f.test, f.site or "", f.side or "", f.value) for f in signed.findings]
    assert {row["signed_by"] for row in read} == {"A. Examiner"}


def test_no_cell_becomes_a_formula(session) -> None:
    text = '=HYPERLINK("x"), +1\n@cmd'
    place = Place("u1", 0, len(text), 1.25, 2.5)
    finding = Finding("gait", None, None, "ataxic", ("-2+3", "@x"), False, (place,))
    about = Examined("=1+1", "2026-01-02T10:00:00Z")
    record = Record((finding,), utterances=(Utterance("u1", text),), examined=about)
    row = _read(rows(record, session.grammar))[0]
    for cell in row.values():
        assert not cell.startswith(("=", "+", "-", "@", "\t", "\r", "\n"))
    assert row["start_s"] == "1.250" and row["end_s"] == "2.500"
    assert replace(record, examined=None).findings == record.findings


def test_what_a_signed_addendum_takes_out_has_no_row(session, amended) -> None:
    read = _read(rows(amended, session.grammar))
    biceps = [row for row in read if (row["test"], row["site"]) == ("strength", "biceps")]
    assert [(row["value"], row["state"], row["signed_by"]) for row in biceps] == [
        ("4", "signed, of addendum 1", "B. Other")
    ]
    romberg = next(row for row in read if row["test"] == "romberg")
    assert romberg["state"] == "signed, taken out by addendum 2, which is not signed"
    assert biceps[0]["by_hand"] == "added"


def test_a_signature_that_no_longer_holds_signs_nothing(session, signed) -> None:
    broken = replace(signed.examined, signature=replace(signed.examined.signature, holds=False))
    read = _read(rows(replace(signed, examined=broken), session.grammar))
    assert {(row["state"], row["signed_by"]) for row in read} == {("draft", "")}
