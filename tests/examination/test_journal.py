"""The journal of what is done by hand: whole after a kill, one writer, older ones read."""

from __future__ import annotations

import json
import random
import subprocess
import sys
import time
from pathlib import Path

import pytest

from dictate.errors import InputError, StorageError, UsageError
from dictate.examination import Examination
from dictate.examination.handing import hand_over
from dictate.journal import writing
from dictate.journal.lock import FileLock
from dictate.journal.plain import to_plain
from dictate.journal.reading import read_journal
from dictate.journal.writing import JOURNAL_NAME, Journal
from dictate.model import Utterance
from dictate.session import Session

from .conftest import SAID, rows, same_when_read

BUSY = Path(__file__).with_name("busy.py")


def killed(folder: Path, seed: int, after_s: float) -> list[tuple[int, str]]:
    """Let a program work, kill it, and tell what it had acknowledged."""
    process = subprocess.Popen(
        [sys.executable, str(BUSY), str(folder), str(seed)], stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    first = process.stdout.readline()
    assert first, "it did not begin"
    time.sleep(after_s)
    process.kill()
    out, _ = process.communicate(timeout=30)
    whole = (first + out).rpartition("\n")[0]
    return [(int(n), event) for n, event in (line.split() for line in whole.splitlines())]


@pytest.mark.parametrize("seed", [11, 12, 13])
def test_what_was_acknowledged_is_there_after_a_kill(begin, seed):
    x = begin()
    x.close()
    draw, told = random.Random(seed), 0
    for _ in range(2):  # what one left is taken up by the next
        acknowledged = killed(x.folder, draw.randrange(10**6), draw.uniform(0.0, 1.5))
        told += len(acknowledged)
        events = {e["n"]: e["event"] for e in read_journal(x.folder / JOURNAL_NAME).events}
        assert {n: events.get(n) for n, _ in acknowledged} == dict(acknowledged)
        with Examination.open(x.folder) as again:
            same_when_read(again)
    assert told > 20


def findings_by_the_document(path: Path) -> list[str]:
    """As DEVELOPERS.md says: added less removed, of every line that has them."""
    found: list[dict] = []
    for line in path.read_bytes().split(b"\n"):
        try:
            entry = json.loads(line)
        except ValueError:
            continue
        found = [f for f in found if f not in entry.get("removed", [])]
        found += entry.get("added", [])
    return sorted(json.dumps(f, sort_keys=True) for f in found)


@pytest.mark.parametrize("seed", range(6))
def test_a_reader_that_knows_the_document_alone_finds_the_findings(begin, seed, monkeypatch):
    """Deeds drawn at random, in this process; the folder says the same as the program."""
    import importlib.util

    spec = importlib.util.spec_from_file_location("busy", BUSY)
    busy = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(busy)
    x, draw = begin(), random.Random(seed)
    done = 0
    while done < 60:
        try:
            busy._once(x, draw)
        except UsageError:
            continue
        done += 1
    expected = sorted(json.dumps(to_plain(f), sort_keys=True) for f in x.live().findings)
    assert findings_by_the_document(x.folder / JOURNAL_NAME) == expected
    same_when_read(x)


@pytest.mark.parametrize("part", [0.05, 0.3, 0.5, 0.77, 0.999])
def test_a_crash_at_any_byte_leaves_the_last_whole_line(begin, part):
    x = begin()
    x.type("gait ataxic")
    x.change(x.live().findings[0], value="3")
    x.close()
    path = x.folder / JOURNAL_NAME
    data = path.read_bytes()
    at = int(len(data) * part)
    path.write_bytes(data[:at])
    whole = data[:at].rpartition(b"\n")[0]
    if not whole:
        with pytest.raises(InputError):
            Examination.open(x.folder)
        return
    with Examination.open(x.folder) as again:
        kept = [e for e in again.events() if e["n"] <= whole.count(b"\n") + 1]
        assert [e["n"] for e in kept] == list(range(1, whole.count(b"\n") + 2))
        assert any("cut off" in notice for notice in again.live().notices)
        again.type("left knee jerk absent")
        assert ("knee", "left", "absent") in rows(again.live())
        same_when_read(again)


def test_a_full_disk_changes_nothing_and_says_so(begin, monkeypatch):
    x = begin()
    before, version = x.live(), x.version

    def full(file: int, data: bytes) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(writing.os, "write", full)
    with pytest.raises(StorageError, match="No space left"):
        x.type("gait ataxic")
    assert x.live() == before and x.version == version
    monkeypatch.undo()
    x.type("gait ataxic")
    assert x.version == version + 1
    same_when_read(x)


# ---- one writer


def test_who_opens_it_second_reads_along_and_is_told(begin):
    x = begin()
    y = Examination.open(x.folder)
    assert (x.writes, y.writes, y.held_by) == (True, False, "note")
    assert y.live() == x.live() and y.follow() == []
    before = x.version
    with pytest.raises(UsageError, match=r"'dictate note' is writing"):
        y.type("gait ataxic")
    with pytest.raises(UsageError, match="is writing"):
        y.sign("A. Example")
    assert x.version == before
    x.type("gait ataxic")
    assert [event["event"] for event in y.follow()] == ["typed"]
    assert y.live() == x.live()
    x.close()
    y.type("left knee jerk absent")  # the other one has ended: now this one writes
    assert y.writes
    z = Examination.open(x.folder)
    assert (z.writes, z.held_by) == (False, "review")


def test_who_only_reads_takes_nothing_from_anybody(begin):
    x = begin()
    x.close()
    before = (x.folder / JOURNAL_NAME).read_bytes()
    with Examination.open(x.folder, write=False) as y:
        assert not y.writes and y.held_by == ""
        assert Examination.open(x.folder).writes
        with pytest.raises(UsageError):
            y.type("gait ataxic")
    assert (x.folder / JOURNAL_NAME).read_bytes().startswith(before)


def test_a_folder_holds_one_examination(begin):
    x = begin()
    with pytest.raises(UsageError, match="already"):
        Examination.create(x.folder)
    with pytest.raises(InputError, match="no journal"):
        Examination.open(x.folder / "other")


# ---- older journals


def older(folder: Path) -> Path:
    """A journal of format 1, as a dictation wrote it."""
    folder.mkdir()
    session, journal = Session(), Journal(folder / JOURNAL_NAME)
    journal.write("started", format=1, version="0", mode="always", sound="sound.wav", grammar=None)
    for number, text in enumerate([*SAID[:4]], 1):
        said = Utterance(f"u{number}", text, float(number), number + 0.9)
        heard = session.hear(said)
        journal.write(
            "utterance", utterance=said, read_to_s=float(number), kind=heard.kind,
            added=heard.added, removed=heard.removed, asked=heard.asked, settled=heard.settled,
        )  # fmt: skip
    answer = Utterance("u5", "left", 6.0, 6.4)
    heard = session.answer("q1", "2")
    session.command(answer)
    journal.write(
        "answer", question="q1", words="2", utterance=answer, read_to_s=6.4, kind=None,
        added=heard.added, removed=heard.removed, asked=heard.asked, settled=heard.settled,
    )  # fmt: skip
    journal.close()
    return folder


@pytest.fixture
def old(folder: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    # a choice was named by its number then
    from dictate.resolve import answers, menu

    marked = menu.marked
    monkeypatch.setattr(
        answers, "marked",
        lambda q, g, words: q.choices[1] if words == "2" else marked(q, g, words),
    )  # fmt: skip
    made = older(folder)
    monkeypatch.undo()
    return made


def test_a_journal_of_format_1_is_read_and_gone_on_with(old):
    data = (old / JOURNAL_NAME).read_bytes()
    with Examination.open(old) as x:
        patient = x.facts.patient
        assert ("deltoid", "left", "3") in rows(x.live()) and x.live().questions == ()
        x.correct("u1", "right deltoid four plus")
        assert rows(x.live())[0] == ("deltoid", "right", "4+")
        assert ("deltoid", "left", "3") in rows(x.live()) and x.live().questions == ()
        same_when_read(x)
    after = (old / JOURNAL_NAME).read_bytes()
    assert after.startswith(data)  # nothing of it was rewritten
    assert json.loads(after[len(data) :].split(b"\n")[0])["format"] == 2
    again = Examination.open(old, write=False)
    assert again.facts.patient == patient and len(patient) >= 8


def test_a_format_that_is_not_known_is_not_guessed(begin):
    x = begin()
    x.close()
    with (x.folder / JOURNAL_NAME).open("a") as file:
        file.write('{"n": 99, "at": "", "event": "opened", "format": 3}\n')
    with pytest.raises(InputError, match="format 3"):
        Examination.open(x.folder)


def test_a_full_disk_at_the_end_holds_nobody_up_and_loses_nothing(begin, monkeypatch):
    x = begin()
    assert hand_over(x.folder, FileLock(x.folder / JOURNAL_NAME), "type", {"text": "gait ataxic"})

    def full(file: int, data: bytes) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(writing.os, "write", full)
    x.close()
    monkeypatch.undo()
    with Examination.open(x.folder) as again:
        assert again.writes and rows(again.live())[-1] == (None, None, "ataxic")


def test_what_is_handed_over_while_the_disk_is_full_is_taken_when_there_is_room(begin, monkeypatch):
    x = begin()
    for word in ("bees", "owls"):
        hand_over(x.folder, FileLock(x.folder / JOURNAL_NAME), "type", {"text": f"he keeps {word}"})

    def full(file: int, data: bytes) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(writing.os, "write", full)
    assert x.take_handed() == [] == x.take_handed()
    monkeypatch.undo()
    assert len(x.take_handed()) == 2
    assert [step.sentence for step in x.steps()] == [
        "Typed “he keeps bees”.",
        "Typed “he keeps owls”.",
    ]
    x.close()
    same_when_read(x)


@pytest.mark.parametrize(
    "deed",
    [("fly", {}), ("type", {"words": 7}), ("type", {"text": 7}), ("correct", {"utterance": "u1"}),
     ("put", {"test": [], "site": {}, "side": 1, "value": None}), ("undo", {"number": "x"})],
)  # fmt: skip
def test_nothing_that_is_handed_over_ends_a_dictation(begin, deed):
    x = begin()
    before = x.live()
    identity = hand_over(x.folder, FileLock(x.folder / JOURNAL_NAME), *deed)
    assert x.take_handed() == [] and x.live() == before
    line = x.events()[-1]
    assert (line["event"], line["handed"]) == ("refused", identity) and line["sentence"]
    same_when_read(x)
