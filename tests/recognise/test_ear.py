"""The taught and the adapted listener: what both heard stands, the rest is weighed or asked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import pytest

from dictate.errors import ModelError
from dictate.grammar import load_grammar
from dictate.model import Hearing, Utterance
from dictate.recognise.ear import combined
from dictate.recognise.joining import HeardWord, lay_out
from dictate.recognise.judge import Judge
from dictate.recognise.marks import paused
from dictate.recognise.weighing import MILD_LEAD, WITH_ADAPTED, WITH_TAUGHT, Gap, Weighing
from dictate.session import Session

GRAMMAR = load_grammar()
WEIGHING, JUDGE = Weighing(GRAMMAR), Judge(GRAMMAR, {})


def _words(text: str) -> tuple[HeardWord, ...]:
    return tuple(HeardWord(w, 0.4 * n, 0.4 * n + 0.25, 1.0) for n, w in enumerate(text.split()))


def _heard(
    taught: str, adapted: str, ahead: float, other: str = "hm", weighing: Weighing = WEIGHING
) -> Utterance:
    """What comes of three hearings, where the adapted one finds its own so much likelier."""

    def weigh(texts: Sequence[str]) -> list[float]:
        return [0.0, *(-ahead for _ in texts[1:])]

    heard = {"taught": taught, "open": other}
    hearings = tuple(Hearing(n, *lay_out(_words(text))) for n, text in heard.items())
    pair = Utterance("u1", taught, 0.0, 5.0, lay_out(_words(taught))[1], hearings=hearings)
    return combined(pair, _words(adapted), weigh, weighing, JUDGE)


def _record(utterance: Utterance):  # type: ignore[no-untyped-def]
    session = Session(GRAMMAR)
    session.take(utterance)
    record = session.record()
    found = [(f.test, f.site, f.side, f.value) for f in record.findings]
    return found, [(q.kind, q.prompt) for q in record.questions]


def test_what_both_heard_is_recorded() -> None:
    found, asked = _record(_heard("right deltoid four", "right deltoid four.", 0.0))
    assert found == [("strength", "deltoid", "right", "4")]
    assert not asked


@pytest.mark.parametrize(
    ("taught", "adapted"),
    [
        ("left deltoid four", "right deltoid four."),
        ("right deltoid five", "right deltoid four."),
        ("right biceps four", "right deltoid four."),
        ("clonus", "no clonus."),
        ("right deltoid four", "right deltoid four plus."),
    ],
)
def test_what_they_heard_apart_and_neither_is_likelier_is_one_question(
    taught: str, adapted: str
) -> None:
    found, asked = _record(_heard(taught, adapted, 0.5))
    assert not found
    assert [kind for kind, _ in asked] == ["heard"]


def test_the_question_names_both() -> None:
    _, asked = _record(_heard("left deltoid four", "right deltoid four.", 0.5))
    assert "right deltoid four" in asked[0][1]
    assert "left deltoid four" in asked[0][1]


def test_the_adapted_one_confirms_the_taught_one_and_overrules_it_never() -> None:
    taught, adapted = "left deltoid four", "right deltoid four."
    assert _record(_heard(taught, adapted, -0.5)) == (
        [("strength", "deltoid", "left", "4")],
        [],
    )
    found, asked = _record(_heard(taught, adapted, 50.0))
    assert not found
    assert [kind for kind, _ in asked] == ["heard"]


def test_beyond_a_fitted_gap_it_overrules_in_that_kind_alone() -> None:
    fitted = Weighing(GRAMMAR, {"side": Gap(adapted=4.0, taught=9.0)})
    taught, adapted = "left deltoid four", "right deltoid four."
    right = [("strength", "deltoid", "right", "4")]
    assert _record(_heard(taught, adapted, 4.5, weighing=fitted)) == (right, [])
    assert _record(_heard(taught, adapted, 3.5, weighing=fitted))[0] == []
    assert _record(_heard(taught, adapted, -8.0, weighing=fitted))[0] == []
    grade = _heard("right deltoid five", "right deltoid four.", 50.0, weighing=fitted)
    assert _record(grade)[0] == []
    against_two = _heard(taught, adapted, 50.0, "left dell toy four", fitted)
    assert _record(against_two)[0] == []


@pytest.mark.parametrize(
    ("taught", "adapted", "kind"),
    [
        ("left deltoid four", "right deltoid four", "side"),
        ("right deltoid five", "right deltoid four", "grade"),
        ("right deltoid four", "right deltoid four plus", "grade"),
        ("clonus", "no clonus", "denial"),
        ("left biceps four", "left triceps four", "site"),
        ("right sorry left deltoid four", "right left deltoid four", "correction"),
        ("tone normal", "tone increased", "other"),
    ],
)
def test_the_kind_of_a_difference(taught: str, adapted: str, kind: str) -> None:
    mine, theirs = adapted.split(), taught.split()
    (one,) = WEIGHING.differences(mine, theirs)
    assert WEIGHING.kind(one, mine, theirs) == kind


def test_names_and_other_words_it_overrules_alone_beyond_a_clear_lead() -> None:
    site = ("left hamstrings four", "left deltoid four.")
    assert _record(_heard(*site, MILD_LEAD))[0] == [("strength", "deltoid", "left", "4")]
    assert _record(_heard(*site, MILD_LEAD - 0.1))[0] == []
    against_two = _heard(*site, MILD_LEAD, other="left hamstrings ford")
    assert _record(against_two)[0] == [("strength", "deltoid", "left", "4")]
    for taught, adapted in (("clonus", "no clonus."), ("left deltoid five", "left deltoid four.")):
        assert _record(_heard(taught, adapted, MILD_LEAD + 50.0))[0] == []


def test_in_plain_talk_the_words_of_the_trade_that_one_heard_are_left_out() -> None:
    said = "my daughter brought me the tablets yesterday evening after lunch."
    taught = "right abductor four three tablets jerk even after lunch"
    heard = _heard(taught, said, 2.0, other=said.rstrip("."))
    assert not heard.disputed
    assert _record(heard) == ([], [])
    # what the open one did not hear either is asked about
    assert _heard(taught, said, 2.0, other="lunch").disputed


def test_two_of_three_settle_it() -> None:
    taught, adapted = "left deltoid four", "right deltoid four."
    clear = WITH_ADAPTED.adapted
    with_adapted = _heard(taught, adapted, clear, other="right dell toy four")
    assert _record(with_adapted) == ([("strength", "deltoid", "right", "4")], [])
    with_taught = _heard(taught, adapted, 3.0, other="left dell toy four")
    assert _record(with_taught) == ([("strength", "deltoid", "left", "4")], [])


def test_two_of_three_do_not_settle_what_sounds_alike_to_the_adapted_one() -> None:
    near = _heard("left deltoid four", "right deltoid four.", 3.0, "right dell toy four")
    found, asked = _record(near)
    assert not found
    assert [kind for kind, _ in asked] == ["heard"]


def test_what_two_heard_is_asked_where_the_adapted_one_is_far_from_it() -> None:
    found, asked = _record(
        _heard(
            "left deltoid four", "right deltoid four.", 1 - WITH_TAUGHT.taught, "left dell toy four"
        )
    )
    assert not found
    assert [kind for kind, _ in asked] == ["heard"]


def test_numbers_that_sound_alike_are_asked() -> None:
    found, asked = _record(
        _heard("hip flexion four on the left", "hip flexion for on the left.", 3.0, "hip for on")
    )
    assert not found
    assert "heard" in [kind for kind, _ in asked]


def test_an_apostrophe_that_no_word_of_the_trade_has_is_left_out() -> None:
    assert _heard("right arms", "right arm's.", 0.0).text == "right arms"


def test_what_the_adapted_one_alone_heard_is_asked() -> None:
    hearings = (Hearing("taught", ""), Hearing("open", *lay_out(_words("write dell toy four"))))
    pair = Utterance("u1", "write dell toy four", 0.0, 5.0, hearings=hearings)
    heard = combined(pair, _words("right deltoid four."), lambda texts: [0.0], WEIGHING, JUDGE)
    found, asked = _record(heard)
    assert not found
    assert [kind for kind, _ in asked] == ["heard"]


def test_words_that_mean_nothing_are_not_weighed() -> None:
    def weigh(texts: Sequence[str]) -> list[float]:
        raise ModelError("nothing is to be weighed")

    hearings = tuple(
        Hearing(n, *lay_out(_words("the right deltoid is four"))) for n in ("taught", "open")
    )
    pair = Utterance("u1", "the right deltoid is four", 0.0, 5.0, hearings=hearings)
    heard = combined(pair, _words("right deltoid four."), weigh, WEIGHING, JUDGE)
    assert heard.text == "right deltoid four"
    assert not heard.disputed


@pytest.mark.parametrize(("pause_s", "text"), [(0.2, "reduced. left"), (0.0, "reduced left")])
def test_a_mark_stands_only_where_somebody_paused(pause_s: float, text: str) -> None:
    said = "light touch reduced. left hand pinprick normal"
    begins_s = [0.4 * n + (pause_s if n > 2 else 0.0) for n in range(7)]
    spoken = [
        HeardWord(word, at_s, at_s + 0.4, 1.0)
        for word, at_s in zip(said.split(), begins_s, strict=True)
    ]
    timed = lay_out([replace(word, text=word.text.rstrip(".")) for word in spoken])[1]
    assert text in " ".join(word.text for word in paused(spoken, timed))
    assert paused(spoken, ()) == spoken  # nobody's times are there


def test_pauses_that_were_heard_are_marks_and_belong_to_no_word() -> None:
    heard = _heard("right deltoid four biceps five", "right deltoid four, biceps five.", 0.0)
    assert heard.text == "right deltoid four, biceps five"
    assert [heard.text[w.start : w.end] for w in heard.words] == [w.text for w in heard.words]
