"""An edge is kept as detail of the finding it belongs to, and of no other."""

from __future__ import annotations

from dictate.model import Utterance
from dictate.session import Session


def _details(text: str) -> dict[tuple[str, str | None, str | None], tuple[str, ...]]:
    session = Session(alone=True)
    session.take(Utterance("u1", text))
    return {(f.test, f.site, f.side): f.detail for f in session.record().findings}


def test_an_edge_belongs_to_its_own_site() -> None:
    details = _details("Vibration reduced to the knees on the right, ankles on the left.")
    assert details[("vibration", "knee", "right")] == ("to the knees",)
    assert details[("vibration", "ankle", "left")] == ()


def test_an_edge_belongs_to_every_test_of_its_list() -> None:
    details = _details("Light touch and pinprick reduced up to the mid shin on both sides.")
    assert len(details) == 4
    assert set(details.values()) == {("up to the mid shin",)}
