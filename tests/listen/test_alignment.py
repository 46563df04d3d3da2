from __future__ import annotations

import pytest

from dictate.listen.alignment import Match, align


def pairs(heard: str, spoken: str) -> list[tuple[str, str]]:
    left, right = heard.split(), spoken.split()
    return [
        (" ".join(left[slice(*match.heard)]), " ".join(right[slice(*match.spoken)]))
        for match in align(left, right)
    ]


def test_the_same_words_are_pairs_in_order() -> None:
    words = ["right", "left", "or", "both"]
    assert align(words, words) == [Match((i, i + 1), (i, i + 1)) for i in range(4)]


@pytest.mark.parametrize(
    ("heard", "spoken"),
    [
        ("ilio so as", "iliopsoas"),
        ("planter", "plantar"),
        ("colonus", "clonus"),
        ("for", "four"),
        ("up going", "upgoing"),
        ("dorsiflexion", "dorsi flexion"),
    ],
)
def test_what_sounds_alike_is_a_pair_however_it_is_cut(heard: str, spoken: str) -> None:
    assert pairs(heard, spoken) == [(heard, spoken)]


@pytest.mark.parametrize(
    ("heard", "spoken"), [("four", "or"), ("left", "right"), ("biceps", "both"), ("five", "find")]
)
def test_what_does_not_is_none(heard: str, spoken: str) -> None:
    assert pairs(heard, spoken) == []


def test_a_word_is_in_one_pair_at_most() -> None:
    assert pairs("left left", "left") in ([("left", "left")],)
    assert len(align(["left"], ["left", "left"])) == 1


def test_no_words_are_no_pairs() -> None:
    assert align([], ["left"]) == [] and align(["left"], []) == []
