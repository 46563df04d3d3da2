"""Signing: what is frozen, whether it still is what was signed, and what came later.

The hashes show that something was changed; they do not show who changed it or who signed, since
whoever can write to the folder can write new hashes.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

from dictate.errors import InputError
from dictate.examination.steps import CHANGING
from dictate.grammar.load import Grammar
from dictate.model import Addendum, Record, Signature
from dictate.render.note import write_note
from dictate.render.record_json import read_record, record_json
from dictate.session import difference
from dictate.store import write_private

Data = dict[str, Any]


def sign(folder: Path, number: int, record: Record, grammar: Grammar) -> Data:
    """Freeze a record and its note in files of their own.

    Args:
        folder: Of the examination.
        number: Of the line that will say so.
        record: As it is now, unsigned.
        grammar: Whose words the note uses.

    Returns:
        What the line holds: the files' names, and their hashes (SHA-256).

    Raises:
        StorageError: They cannot be written.
    """
    texts = {"record": record_json(record), "note": write_note(record, grammar)}
    names = {"record": f"signed-{number}.json", "note": f"signed-{number}.txt"}
    for name, text in texts.items():
        write_private(folder / names[name], text)
    hashes = {name: hashlib.sha256(text.encode()).hexdigest() for name, text in texts.items()}
    return {**hashes, "files": names}


def frozen(folder: Path, event: Data, again: Callable[[], Record]) -> tuple[Record, bool]:
    """The record as it was signed, and whether all that is kept still is what was signed.

    Args:
        folder: Of the examination.
        event: The line that says so.
        again: Works out the record at that line again, which takes long: it is shown where the
            file has gone.
    """
    texts: dict[str, bytes] = {}
    for name in ("record", "note"):
        path = folder / Path(str(event["files"][name])).name
        texts[name] = path.read_bytes() if path.is_file() else b""
    holds = all(hashlib.sha256(texts[name]).hexdigest() == event[name] for name in texts)
    try:
        return read_record(texts["record"].decode()), holds
    except (InputError, UnicodeDecodeError):
        return again(), False


def with_addenda(
    signed: Sequence[tuple[Data, Record, bool]], live: Record, events: Sequence[Data]
) -> Record:
    """The record as it was signed first, with what came later.

    Args:
        signed: Each signature's line, the record as it was signed, and whether it holds.
        live: The record as it is now.
        events: The journal's lines.
    """
    record = signed[0][1]
    assert record.examined is not None
    marks = [Signature(e["by"], e["at"], e["record"], e["note"], holds) for e, _, holds in signed]
    states = [record for _, record, _ in signed]
    addenda = [
        _between(before, after, mark.at, mark)
        for before, after, mark in zip(states, states[1:], marks[1:], strict=False)
    ]
    now = _between(states[-1], live, _last(events, int(signed[-1][0]["n"])), None)
    if now.added or now.removed or now.asked or now.settled or now.utterances:
        addenda.append(now)
    examined = replace(record.examined, signature=marks[0], addenda=tuple(addenda))
    return replace(record, examined=examined)


def _between(before: Record, after: Record, at: str, mark: Signature | None) -> Addendum:
    changed = difference(before, after)
    known = set(before.utterances)
    return Addendum(
        at, changed.added, changed.removed, changed.asked, changed.settled,
        tuple(utterance for utterance in after.utterances if utterance not in known), mark,
    )  # fmt: skip


def _last(events: Sequence[Data], after: int) -> str:
    later = (e for e in events if e["n"] > after and e["event"] in CHANGING)
    return max((str(e["at"]) for e in later), default="")
