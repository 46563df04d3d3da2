from __future__ import annotations

import pytest

from dictate.grammar import load_grammar, schema
from dictate.interpret.reader import reader_of
from dictate.listen.requests import (
    ABOUT_A_QUESTION,
    MEANINGS,
    folded,
    request_of,
    request_phrases,
    shown_wording,
)
from dictate.model import Utterance
from dictate.recognise.model_store import find_model
from dictate.session import Session

GRAMMAR = load_grammar()
KINDS = tuple(schema.Requests.model_fields)
WORDINGS = [(k, form) for k in KINDS for form in getattr(GRAMMAR.requests.requests, k)]


def kind_of(text: str, question_put: bool = True) -> str | None:
    request = request_of(Utterance("u1", text), GRAMMAR, question_put)
    return request.kind if request else None


@pytest.mark.parametrize(("kind", "form"), WORDINGS, ids=lambda value: value.replace(" ", "_"))
def test_every_wording_is_its_request_with_and_without_politeness(kind: str, form: str) -> None:
    assert kind_of(form) == kind
    assert kind_of(f"um, okay, {form}, please.") == kind
    assert kind_of(form.upper()) == kind


@pytest.mark.parametrize(("kind", "form"), WORDINGS, ids=lambda value: value.replace(" ", "_"))
def test_with_a_finding_beside_it_no_wording_is_a_request(kind: str, form: str) -> None:
    assert kind_of(f"{form} right deltoid four") is None
    assert kind_of(f"right deltoid four {form}") is None
    assert kind_of(f"{form}. gait normal.") is None


def test_no_wording_stands_for_two_requests() -> None:
    folds = [folded(form) for _, form in WORDINGS]
    assert len(folds) == len(set(folds))


def test_requests_about_a_question_need_one() -> None:
    for kind, form in WORDINGS:
        assert kind_of(form, question_put=False) == (None if kind in ABOUT_A_QUESTION else kind)


def test_no_example_of_the_grammar_is_taken_for_a_request() -> None:
    said = [
        text
        for area in GRAMMAR.areas
        for example in area.examples
        for text in (example.say, *example.before)
    ]
    assert len(said) > 300
    assert [text for text in said if kind_of(text)] == []


def test_no_spoken_form_of_the_examination_is_a_request() -> None:
    """Names, values, sides, corrections and what is said to a patient; "skip" and "later" alone
    are both an answer and a request."""
    lexicon = reader_of(GRAMMAR).lexicon
    forms = {" ".join(form) for form in lexicon.readings}
    taken = {form for form in forms if kind_of(form, question_put=False)}
    assert taken == set()


def test_a_request_that_the_session_hears_anyway_changes_no_finding() -> None:
    """A wording that also corrected a statement would be lost as a correction.

    The second reader may doubt more: what it doubts is asked about, and here never reaches it.
    """
    session = Session(GRAMMAR, alone=True)
    for text in ("right deltoid four", "left deltoid five", "right biceps reflex two plus"):
        session.hear(Utterance("u0", text))
    before = session.record().findings
    for _, form in WORDINGS:
        session.hear(Utterance("u1", form))
        assert session.record().findings == before, form


@pytest.mark.parametrize(
    ("heard", "kind"),
    [
        ("put the pin down", "pause"),
        ("write the note now", "finish"),
        ("right the note now", "finish"),
        ("finish a note", "finish"),
        ("the node is complete", "finish"),
        ("right the vote", None),
        ("pin down", None),
    ],
)
def test_three_words_and_more_are_known_by_their_sound(heard: str, kind: str | None) -> None:
    assert kind_of(heard) == kind


@pytest.mark.parametrize(
    "text",
    [
        "go on",
        "stop",
        "wait",
        "hold on",
        "one moment",
        "that's it",
        "we are done",
        "keep going",
        "rest",
    ],
)
def test_what_is_said_to_a_patient_is_no_request(text: str) -> None:
    assert kind_of(text) is None


def test_the_help_shows_the_first_wording() -> None:
    assert tuple(MEANINGS) == KINDS
    for kind in KINDS:
        assert kind_of(shown_wording(GRAMMAR, kind)) == kind
    assert set(request_phrases(GRAMMAR)) >= {shown_wording(GRAMMAR, kind) for kind in KINDS}


def test_the_speech_model_knows_every_word() -> None:
    folder = find_model()
    if folder is None:
        pytest.skip("the speech model is not here: dictate setup")
    from dictate.recognise.vosk import VoskModel

    model = VoskModel(folder)
    answers = GRAMMAR.requests.answers
    phrases = [*request_phrases(GRAMMAR), *answers.yes, *answers.no]
    assert [p for p in phrases if not all(model.knows(word) for word in p.split())] == []
