"""Of two ways to hear a stretch the one that is a statement stands, if it is likely and nothing
grave is lost with it; the rest is asked, as before."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from dictate.model import Disputed, Hearing, Utterance, Word
from dictate.resolve.heard_apart import OTHER_LEAD, OWN_LEAD
from dictate.session import Session


def heard(text, said, instead, lead, adapted=None):
    """An utterance of which another heard something else in the place of ``said``."""
    words = tuple(
        Word(m.group(), m.start(), m.end(), m.start() / 10, m.end() / 10, 0.7, True)
        for m in re.finditer(r"[\w']+", text)
    )
    start = text.index(said)
    stretch = Disputed(start, start + len(said), instead, "taught", "apart", lead)
    taught = text[:start] + instead + text[start + len(said) :]
    hearings = (Hearing("taught", taught), Hearing("open", ""), Hearing("adapted", adapted or text))
    return Utterance("u1", text, 0.0, len(text) / 10, words, hearings=hearings, disputed=(stretch,))


def record(utterance):
    session = Session(weighed=False)
    session.take(utterance)
    return session.record()


def rows(made):
    return [(f.test, f.site, f.side, f.value) for f in made.findings]


GRIP = ("right grip five", "grip", "breath")


def test_the_text_stands_where_the_others_words_come_to_nothing():
    made = record(heard(*GRIP, OWN_LEAD))
    assert rows(made) == [("strength", "grip", "right", "5")]
    assert made.questions == ()


@pytest.mark.parametrize("lead", [OWN_LEAD - 0.1, -1.0, None])
def test_not_where_it_is_hardly_likelier(lead):
    made = record(heard(*GRIP, lead))
    assert made.findings == ()
    assert [question.kind for question in made.questions] == ["heard"]


@pytest.mark.parametrize("instead", ["breath no", "breath left", "breath four", "breath sorry"])
def test_not_where_a_denial_a_side_a_number_or_a_correction_would_be_lost(instead):
    made = record(heard("right grip five", "grip", instead, OWN_LEAD + 20))
    assert made.findings == ()
    assert made.questions


def test_not_where_the_other_heard_more_words_than_there_are():
    said = heard("right grip five", "grip", "grip", 9.0)
    here = replace(said.disputed[0], start=0, end=0, instead="hardly")
    made = record(replace(said, disputed=(here,)))
    assert made.questions


@pytest.mark.parametrize(("side", "other"), [("left", "right"), ("right", "left")])
def test_a_side_is_asked_however_likely_it_is(side, other):
    made = record(heard(f"{side} grip five", side, other, 50.0))
    assert made.findings == ()
    assert len(made.questions[0].choices) == 3


def test_what_comes_to_something_either_way_is_asked():
    made = record(heard("right grip five", "grip", "deltoid", 50.0))
    assert made.findings == ()
    assert {f.site for c in made.questions[0].choices for f in c.findings} == {"grip", "deltoid"}


ROMBERG = ("common positive", "common", "romberg")


def test_the_others_words_stand_where_only_they_come_to_something():
    made = record(heard(*ROMBERG, OTHER_LEAD))
    assert rows(made) == [("romberg", None, None, "present")]
    assert made.utterances[0].text == "romberg positive"
    assert [h.text for h in made.utterances[0].hearings][2] == "common positive"
    assert made.questions == ()


def test_not_where_they_are_much_less_likely():
    made = record(heard(*ROMBERG, OTHER_LEAD + 0.1))
    assert made.findings == ()
    assert made.questions


def test_not_where_they_bring_a_number_or_a_denial():
    for instead in ("no romberg", "romberg two"):
        assert record(heard("common positive", "common", instead, 0.0)).findings == ()


def test_what_is_disputed_behind_moves_with_the_words():
    said = heard("grow grip, right grip five", "right", "left", 1.0)
    words = "knee clonus absent, " + said.text
    first = heard(words.replace("knee", "need"), "need", "knee", 0.5)
    side = words.replace("knee", "need").index("right grip")
    both = (*first.disputed, Disputed(side, side + 5, "left", "taught", "apart", 1.0))
    made = record(replace(first, disputed=both))
    assert not [f for f in made.findings if f.test == "strength"]
    (spot,) = made.utterances[0].disputed or both[1:]
    assert made.utterances[0].text[spot.start : spot.end] in ("right", "left", "need ")


def test_a_word_that_all_three_heard_is_no_reason_to_ask():
    text = "face symmetric at rest and with smiling"
    said = heard(text, "face", "face", None)
    three = tuple(Hearing(name, text) for name in ("taught", "open", "adapted"))
    sure = record(replace(said, hearings=three, disputed=()))
    two = (*three[:2], Hearing("adapted", "face symmetric at best and with smiling"))
    unsure = record(replace(said, hearings=two, disputed=()))
    assert "heard" not in [question.kind for question in sure.questions]
    assert "heard" in [question.kind for question in unsure.questions]
