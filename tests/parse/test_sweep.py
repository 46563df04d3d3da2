"""A denied sign is never present, a doubted one is asked, one of another time gives nothing."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from dictate.grammar.load import load_grammar
from dictate.model import Record, Utterance
from dictate.parse.session import ParseSession

WAYS: dict[str, list[str]] = yaml.safe_load(
    (Path(__file__).parent / "sweep.yaml").read_text("utf-8")
)
#: Signs that are there or not, by the first name of each in the grammar; every third of them. One
#: whose absence is the abnormal (a reflex) is asked for its side, so it is no case of this.
SIGNS = [
    spec.spoken[0]
    for name, spec in load_grammar().tests.items()
    if spec.named == "present"
    and spec.denied == "absent"
    and spec.spoken
    and not spec.everyday
    and spec.values[spec.denied].normal
][::3]
#: Of a hundred plain denials, so many at least are recorded and not asked.
RECORDED = 85


def _record(text: str) -> Record:
    session = ParseSession()
    session.take(Utterance("u1", text[0].upper() + text[1:]))
    return session.record()


def _values(sign: str, ways: str) -> list[tuple[str, Record]]:
    texts = [way.format(s=sign) for way in WAYS[ways]]
    return [(text, _record(text)) for text in texts]


@pytest.mark.parametrize("sign", SIGNS)
def test_denied(sign: str) -> None:
    records = _values(sign, "deny")
    wrong = [t for t, r in records if any(f.value == "present" for f in r.findings)]
    assert not wrong
    assert not [t for t, r in records if not r.findings and not r.questions]
    assert 100 * sum(bool(r.findings) for _, r in records) >= RECORDED * len(records)


@pytest.mark.parametrize("sign", SIGNS)
def test_doubted(sign: str) -> None:
    assert not [t for t, r in _values(sign, "doubt") if r.findings or not r.questions]


@pytest.mark.parametrize("sign", SIGNS)
def test_of_another_time_or_person(sign: str) -> None:
    assert not [t for t, r in _values(sign, "past") if r.findings]


@pytest.mark.parametrize("sign", SIGNS)
def test_not_examined(sign: str) -> None:
    found = [(t, f.value) for t, r in _values(sign, "undone") for f in r.findings]
    assert {value for _, value in found} <= {"not_tested", "unable"}
