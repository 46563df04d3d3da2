"""What an output for other programs needs to know of a record besides its findings."""

from __future__ import annotations

import hashlib
import uuid
from dataclasses import dataclass

from dictate.errors import InputError
from dictate.model import Record, Signature
from dictate.render.record_json import record_json
from dictate.render.spoken import Spoken
from dictate.render.standing import Stated, stated


@dataclass(frozen=True, slots=True)
class Known:
    """Whose record it is, when it was made, and its words.

    ``id``: of this very record: the same record has the same id. ``examination``: the same for
    every state of one examination. ``patient``: a random id, or the one that was given. ``begun``:
    when it began; ``changed``: the last time that is known of it; ISO 8601, UTC. ``stated``: every
    finding and how it stands. ``spoken``: its words. ``signature``: None for a draft.
    """

    id: str
    examination: str
    patient: str
    begun: str
    changed: str
    stated: tuple[Stated, ...]
    spoken: Spoken
    sound_sha256: str | None = None
    signature: Signature | None = None

    @property
    def signed_by(self) -> str | None:
        """Who signed, while what was signed is still the same."""
        return self.signature.by if self.signature else None

    @property
    def standing(self) -> tuple[Stated, ...]:
        """The findings that no signed addendum takes out."""
        return tuple(row for row in self.stated if not row.withdrawn)


def known(record: Record) -> Known:
    """Gather it.

    Args:
        record: The record of an examination that is kept in a folder.

    Raises:
        InputError: It is kept nowhere, so that nobody knows whose it is and when it was made.
    """
    kept = record.examined
    if kept is None:
        raise InputError(
            "This output says whose examination it was and when. "
            "Keep the examination in a folder first (--out FOLDER), and export that."
        )
    digest = hashlib.sha256(record_json(record).encode()).digest()
    whole = hashlib.sha256(f"{kept.patient}\n{kept.at}".encode()).digest()
    signature = kept.signature if kept.signature and kept.signature.holds else None
    times = [kept.at, *([kept.signature.at] if kept.signature else [])]
    return Known(
        _uuid(digest), _uuid(whole), kept.patient, kept.at,
        max([*times, *(addendum.at for addendum in kept.addenda)]),
        stated(record), Spoken(record), kept.sound_sha256, signature,
    )  # fmt: skip


def _uuid(digest: bytes) -> str:
    return str(uuid.UUID(bytes=digest[:16], version=4))
