"""Signed: frozen with its hashes; what comes later is an addendum; a change shows."""

from __future__ import annotations

import hashlib
import json
import stat

import pytest

from dictate.errors import UsageError
from dictate.examination import Examination
from dictate.render import RENDERERS, read_record

from .conftest import rows, same_when_read


def test_what_is_signed_is_frozen_with_the_hashes_of_record_and_note(begin):
    x = begin("left biceps five")
    draft = x.record()
    assert draft.examined.signature is None
    signature = x.sign("  Dr. A.   Example ")
    assert signature.by == "Dr. A. Example"
    record = x.record()
    assert record.examined.signature == signature and record.examined.addenda == ()
    assert record.findings == draft.findings
    frozen = sorted(x.folder.glob("signed-*"))
    assert [path.suffix for path in frozen] == [".json", ".txt"]
    hashes = [hashlib.sha256(path.read_bytes()).hexdigest() for path in frozen]
    assert hashes == [signature.record_sha256, signature.note_sha256]
    assert {stat.S_IMODE(path.stat().st_mode) for path in frozen} == {0o600}
    # the hashes are of the draft's own outputs, so anybody can check them
    assert frozen[0].read_text() == RENDERERS["record"].function(draft, x.grammar)
    assert frozen[1].read_text() == RENDERERS["note"].function(draft, x.grammar)
    same_when_read(x)


def test_every_output_can_be_told_and_the_record_comes_back_whole(begin):
    x = begin("left biceps five")
    x.sign("A. Example")
    x.type("gait ataxic")
    record = x.record()
    text = RENDERERS["record"].function(record, x.grammar)
    assert read_record(text) == record
    assert json.loads(text)["examined"]["signature"]["by"] == "A. Example"


def test_what_comes_later_is_an_addendum_and_can_be_signed_too(begin):
    x = begin("left biceps five")
    first = x.sign("A. Example")
    signed = x.record().findings
    x.change(x.live().findings[0], value="4")
    x.type("gait ataxic")
    record = x.record()
    assert record.findings == signed and rows(x.live()) != rows(record)
    (addendum,) = record.examined.addenda
    assert addendum.signature is None and addendum.at
    assert [f.value for f in addendum.added] == ["4", "ataxic"]
    assert addendum.removed == signed
    assert {u.hand for u in addendum.utterances} == {"added"}
    second = x.sign("B. Example")
    record = x.record()
    assert record.findings == signed and record.examined.signature == first
    assert [a.signature for a in record.examined.addenda] == [second]
    x.type("left knee jerk absent")
    assert [a.signature for a in x.record().examined.addenda] == [second, None]
    same_when_read(x)


def test_nothing_is_signed_twice_and_nothing_signed_is_undone(begin, folder):
    x = Examination.create(folder / "empty")
    with pytest.raises(UsageError, match="nothing to sign"):
        x.sign("A. Example")
    y = begin("left biceps five")
    y.type("gait ataxic")
    y.sign("A. Example")
    with pytest.raises(UsageError, match="nothing was changed"):
        y.sign("A. Example")
    with pytest.raises(UsageError, match="signed"):
        y.undo()
    y.type("left knee jerk absent")
    y.undo()
    with pytest.raises(UsageError, match="signed"):
        y.undo()
    assert y.record().examined.addenda == ()


@pytest.mark.parametrize("ending", [".json", ".txt"])
@pytest.mark.parametrize("how", ["bent", "gone"])
def test_what_was_changed_on_disk_shows(begin, ending, how):
    x = begin("left biceps five")
    x.sign("A. Example")
    x.close()
    (path,) = x.folder.glob(f"signed-*{ending}")
    if how == "gone":
        path.unlink()
    else:
        path.write_text(path.read_text().replace("iceps", "riceps"))
    again = Examination.open(x.folder, write=False).record()
    assert again.examined.signature.holds is False
    assert again.findings


def test_a_name_for_the_patient_is_part_of_what_is_signed(begin):
    x = begin("left biceps five")
    random = x.facts.patient
    assert len(random) >= 8 and random != Examination.create(x.folder / "two").facts.patient
    x.name_patient("bed seven")
    x.sign("A. Example")
    x.name_patient("bed eight")
    assert x.record().examined.patient == "bed seven" and x.live().examined.patient == "bed eight"


def test_what_was_signed_is_read_from_its_files_and_not_worked_out_again(begin, monkeypatch):
    x = begin()
    x.sign("A. Examiner")
    monkeypatch.setattr(x, "_until", lambda number: pytest.fail("it was worked out again"))
    x.type("left toe up")
    assert x.record().examined.signature.holds and len(x.record().examined.addenda) == 1
