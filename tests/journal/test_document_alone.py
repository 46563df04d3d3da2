"""A reader of the journal that knows only its description in DEVELOPERS.md: no code of ours."""

from __future__ import annotations

import json

import pytest

from dictate.journal.plain import to_plain
from dictate.journal.writing import Journal
from dictate.model import Utterance
from dictate.session import Session


def findings_of(path):
    """As the document says: added less removed, of utterances and answers."""
    found, last = [], 0
    for line in path.read_bytes().split(b"\n"):
        try:
            entry = json.loads(line.decode("utf-8"))
        except ValueError:
            continue
        if not isinstance(entry, dict) or entry["n"] <= last:
            continue
        assert entry["n"] == last + 1
        last = entry["n"]
        if entry["event"] in ("utterance", "answer"):
            found = [f for f in found if f not in entry.get("removed", [])]
            found += entry.get("added", [])
    return found


@pytest.mark.parametrize("torn", [False, True])
def test_it_finds_the_findings(tmp_path, torn):
    session, path = Session(), tmp_path / "journal.jsonl"
    journal = Journal(path)
    journal.write("started", format=1, version="x", mode="always", sound="sound.wav", grammar=None)
    said = (
        "right biceps four out of five", "knee jerk three plus", "no make that two plus",
        "left biceps five", "take that back", "light touch absent in the left foot",
    )  # fmt: skip
    for number, text in enumerate(said, 1):
        utterance = Utterance(f"u{number}", text)
        heard = session.hear(utterance)
        journal.write(
            "utterance", utterance=utterance, read_to_s=float(number), kind=heard.kind,
            added=heard.added, removed=heard.removed, asked=heard.asked, settled=heard.settled,
        )  # fmt: skip
    question = session.record().questions[0].id
    heard = session.answer(question, "left")
    journal.write("answer", question=question, words="left", added=heard.added, removed=())
    expected = json.loads(json.dumps([to_plain(f) for f in session.record().findings]))
    if torn:
        with path.open("ab") as file:
            file.write(b'{"n": 9, "event": "utterance", "added"')
    assert sorted(map(repr, findings_of(path))) == sorted(map(repr, expected))
    assert len(expected) >= 3
