"""The Glasgow coma scale.

Sources: Teasdale G, Jennett B, Lancet 1974;2(7872):81-84 (eyes, verbal, motor); Teasdale G and
others, Lancet Neurology 2014;13(8):844-854 (eyes 1 to 4, verbal 1 to 5, motor 1 to 6, total 3 to 15
as the plain sum; a total that differs is to be shown, never corrected silently).
"""

from __future__ import annotations

from collections import Counter
from itertools import product

import pytest

from dictate.model import Record

EYES, VERBAL, MOTOR = range(1, 5), range(1, 6), range(1, 7)
PARTS = list(product(EYES, VERBAL, MOTOR))


def _total(record: Record) -> str:
    assert not record.questions
    (finding,) = record.findings
    assert (finding.test, finding.site, finding.side) == ("glasgow_coma_scale", None, None)
    return finding.value


def test_there_are_120_combinations() -> None:
    assert len(PARTS) == 120
    totals = Counter(map(sum, PARTS))
    assert (min(totals), max(totals)) == (3, 15)
    assert totals[3] == totals[15] == 1
    assert totals[9] == 18


@pytest.mark.parametrize(("eye", "verbal", "motor"), PARTS)
def test_the_total_is_the_sum(hear, spoken, eye: int, verbal: int, motor: int) -> None:
    numbers = {6: "six"} | {n: spoken(str(n)) for n in range(1, 6)}
    total = str(eye + verbal + motor)
    typed = f"GCS E{eye} V{verbal} M{motor}"
    words = f"eyes {numbers[eye]}, verbal {numbers[verbal]}, motor {numbers[motor]}"
    said = f"Glasgow coma scale {words}"
    for text in (typed, said, f"GCS {total}, E{eye} V{verbal} M{motor}"):
        assert _total(hear(text)) == total, text


@pytest.mark.parametrize("total", range(3, 16))
def test_a_bare_total(hear, total: int) -> None:
    assert _total(hear(f"GCS {total}")) == str(total)
    assert _total(hear(f"GCS {total}/15")) == str(total)


@pytest.mark.parametrize("total", range(3, 16))
def test_only_fifteen_is_normal(hear, total: int) -> None:
    (finding,) = hear(f"GCS {total}").findings
    assert finding.normal is (total == 15)


@pytest.mark.parametrize(("eye", "verbal", "motor"), PARTS[::7])
def test_a_total_that_is_not_the_sum_is_asked(hear, eye: int, verbal: int, motor: int) -> None:
    total = eye + verbal + motor
    for wrong in {3, 15, total - 1, total + 1} - {total}:
        if 3 <= wrong <= 15:
            record = hear(f"GCS {wrong}, E{eye} V{verbal} M{motor}")
            assert not record.findings
            assert [question.kind for question in record.questions] == ["conflict"]


@pytest.mark.parametrize(
    "text",
    [
        "GCS E5 V5 M6",
        "GCS E4 V6 M6",
        "GCS E4 V5 M7",
        "GCS E0 V5 M6",
        "GCS E4 V0 M6",
        "GCS E4 V5 M0",
        "GCS eyes five verbal five motor six",
        "GCS eyes four verbal six motor six",
        "GCS eyes four verbal five motor seven",
        "GCS 2",
        "GCS 0",
        "GCS 16",
        "GCS sixteen",
        "GCS 12/14",
        "GCS 15+",
        "GCS 13.5",
    ],
)
def test_what_the_scale_does_not_have_is_asked(hear, text: str) -> None:
    record = hear(text)
    assert not record.findings
    assert [question.kind for question in record.questions] in (["scale"], ["value"])


@pytest.mark.parametrize(
    "text", ["GCS four five six", "GCS 4 5 6", "GCS 4-5-6", "GCS E4 VNT M6", "GCS E4 V5"]
)
def test_bare_or_missing_parts_give_no_total_of_their_own(hear, text: str) -> None:
    """Three bare numbers mean eyes, verbal, motor; a missing part leaves no total."""
    totals = [finding.value for finding in hear(text).findings]
    assert totals in ([], ["15"] if "NT" not in text and text != "GCS E4 V5" else [])
