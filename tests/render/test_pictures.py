"""The pictures show every finding they are about, on its own side, and nothing else."""

from __future__ import annotations

from xml.etree import ElementTree

import pytest

from dictate.model import Utterance
from dictate.render.pictures import pictures, svg
from dictate.session import Session

NS = "{http://www.w3.org/2000/svg}"


def drawn(*said):
    session = Session(alone=True)
    for number, text in enumerate(said):
        session.take(Utterance(f"u{number}", text))
    return {picture.name: picture for picture in pictures(session.record(), session.grammar)}


def texts(picture):
    """Every text of the SVG file as (x, y, words)."""
    root = ElementTree.fromstring(svg(picture))
    return [(float(t.get("x")), float(t.get("y")), t.text) for t in root.iter(f"{NS}text")]


def middle_of(picture):
    root = ElementTree.fromstring(svg(picture))
    return float(root.get("viewBox").split()[2]) / 2


def test_nothing_said_draws_nothing():
    assert drawn("The weather is fine.") == {}


@pytest.mark.parametrize("side", ["right", "left"])
def test_a_reflex_stands_on_its_own_side(side):
    # the figure faces whoever looks, so the patient's right is on the left (common practice)
    picture = drawn(f"{side} knee jerk three plus")["figure"]
    (x,) = [x for x, _, text in texts(picture) if text == "3+"]
    assert (x < middle_of(picture)) == (side == "right")
    headings = {text: x for x, _, text in texts(picture) if "patient's" in text}
    assert headings["patient's right"] < middle_of(picture) < headings["patient's left"]


def test_mirrored_words_mirror_the_picture():
    said = ["Right knee jerk three plus.", "Left toe up.", "Left biceps jerk absent."]
    turned = ["Left knee jerk three plus.", "Right toe up.", "Right biceps jerk absent."]
    one, other = drawn(*said)["figure"], drawn(*turned)["figure"]
    values = {"3+", "extensor", "absent"}

    def places(picture):
        # the arrow leaves its word a little to the left on both sides
        return {text: x for x, _, text in texts(picture) if text in values - {"extensor"}}

    width = 2 * middle_of(one)
    assert {text: width - x for text, x in places(one).items()} == places(other)


def test_what_has_no_point_stands_below_in_words():
    picture = drawn("Reflexes two plus throughout.", "No Babinski.")["figure"]
    words = " ".join(text for _, _, text in texts(picture))
    assert "2+ throughout" in words
    assert "flexor" in words


def test_an_open_question_is_a_question_mark_and_no_value():
    picture = drawn("Left ankle jerk, um.", "Right ankle jerk two plus.")["figure"]
    shown = [text for _, _, text in texts(picture)]
    assert shown.count("?") == 1
    assert "Left ankle jerk: a question is open" in picture.words


def test_details_and_abnormal_values_are_marked():
    picture = drawn("Right ankle jerk absent even with reinforcement.")["figure"]
    words = [text for _, _, text in texts(picture)]
    assert "absent*" in words
    assert any("reinforcement" in text for text in words)
    root = ElementTree.fromstring(svg(picture))
    bold = [t.text for t in root.iter(f"{NS}text") if t.get("font-weight") == "700"]
    assert bold == ["Reflexes", "absent*"]


def test_the_strength_table_has_right_and_left():
    picture = drawn(
        "Strength five throughout except left hip flexion four plus.", "Right deltoid four of five."
    )["strength"]
    rows = {row.name: row for row in picture.rows}
    assert rows["Deltoid"].right.text == "4/5" and rows["Deltoid"].left is None
    assert rows["Hip flexors"].left.text == "4+/5" and rows["Hip flexors"].right is None
    assert rows["Throughout"].middle.text == "5/5"
    at = {text: x for x, _, text in texts(picture)}
    assert at["4/5"] == at["right"] < at["left"] == at["4+/5"]


def test_words_cannot_become_markup(whole):
    from dictate.model import Finding, Record

    evil = '</text><script>alert("1")</script>\x00'
    finding = Finding("stretch_reflex", "knee", "right", "3+", detail=(evil,), site_said=evil)
    for picture in pictures(Record(findings=(finding,)), whole):
        root = ElementTree.fromstring(svg(picture))
        assert not [e for e in root.iter() if e.tag.endswith("script")]
