"""What an output for other programs needs to know of a record besides its findings."""

from __future__ import annotations

import hashlib
import uuid
from dataclasses import dataclass

from dictate.errors import InputError
from dictate.model import Finding, Record, Signature
from dictate.render.record_json import record_json


@dataclass(frozen=True, slots=True)
class Known:
    """Whose record it is, when it was made, and its words.

    ``id``: of this very record: the same record has the same id. ``patient``: a random id, or the
    one that was given. ``at``: when it was signed, else when it began; ISO 8601, UTC.
    """

    id: str
    patient: str
    at: str
    texts: dict[str, str]
    sound_sha256: str | None = None
    signature: Signature | None = None

    @property
    def signed_by(self) -> str | None:
        """Who signed, while what was signed is still the same."""
        return self.signature.by if self.signature and self.signature.holds else None

    def said(self, finding: Finding) -> str:
        """The words that gave a finding, as they were heard; parts apart are joined by dots."""
        parts = (
            " ".join(self.texts.get(place.utterance, "")[place.start : place.end].split())
            for place in finding.said
        )
        return " ... ".join(dict.fromkeys(part for part in parts if part))


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
    texts = {utterance.id: utterance.text for utterance in record.utterances}
    at = kept.signature.at if kept.signature else kept.at
    return Known(
        str(uuid.UUID(bytes=digest[:16], version=4)), kept.patient, at, texts,
        kept.sound_sha256, kept.signature,
    )  # fmt: skip
