"""A record of an invented patient that holds every kind of finding an output must carry."""

from __future__ import annotations

from dataclasses import replace

import pytest

from dictate.model import Addendum, Examined, Finding, Place, Record, Signature, Utterance
from dictate.session import Session

LINES = (
    "Alert and oriented times three.",
    "Visual acuity 20/40 on the right and 20/20 on the left.",
    "Pupils three millimetres and reactive.",
    "Right pronator drift, left toe up.",
    "Deltoids five, right biceps four plus.",
    "Reflexes two plus and symmetric, but absent at the ankles.",
    "No clonus, no fasciculations.",
    "Gait deferred because of the hip fracture.",
    "Could not test vibration at the left ankle because of the cast.",
    "Glasgow coma scale fourteen: eyes four, verbal four, motor six.",
    "Right iliopsoas four.",
    "Romberg positive.",
    "Ankle jerks.",
)
SIGNATURE = Signature("A. Examiner", "2026-01-02T10:20:00Z", "00" * 32, "11" * 32)
KEPT = Examined("6f1c", "2026-01-02T10:00:00Z", "ab" * 32)


@pytest.fixture(scope="session")
def session() -> Session:
    session = Session()
    for number, line in enumerate(LINES, 1):
        session.hear(Utterance(f"u{number}", line))
    return session


@pytest.fixture(scope="session")
def draft(session: Session) -> Record:
    return replace(session.record(), examined=KEPT)


@pytest.fixture(scope="session")
def signed(session: Session) -> Record:
    return replace(session.record(), examined=replace(KEPT, signature=SIGNATURE))


LATER = "2026-01-03T09:00:00Z"


@pytest.fixture(scope="session")
def amended(signed: Record) -> Record:
    """Signed; a first addendum, signed too, changed the biceps; a second is a draft."""
    old = next(f for f in signed.findings if (f.site, f.side) == ("biceps", "right"))
    other = next(f for f in signed.findings if f.test == "romberg")
    words = Utterance("h1", "right biceps four out of five", kind="finding", hand="added")
    place = Place("h1", 0, len(words.text))
    new = Finding("strength", "biceps", "right", "4", (), False, (place,))
    by_other = Signature("B. Other", LATER, "22" * 32, "33" * 32)
    first = Addendum(LATER, (new,), (old,), utterances=(words,), signature=by_other)
    second = Addendum("2026-01-04T09:00:00Z", removed=(other,))
    assert signed.examined is not None
    examined = replace(signed.examined, addenda=(first, second))
    return replace(signed, examined=examined)
