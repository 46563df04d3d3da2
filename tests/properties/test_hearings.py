"""Laws for whatever two listeners hear: no error, nothing lost, every place in what was said."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from dictate.errors import UsageError
from dictate.listen.own_voice import SpokenSentence, without_own_voice
from dictate.model import Record, Utterance
from dictate.session import Session

from .hearings import begun, dictations, hearings
from .strategies import GRAMMAR

#: Each utterance is read some twenty times.
FEW = settings(max_examples=max(1, settings().max_examples // 4))


def _traced(record: Record) -> None:
    texts = {utterance.id: utterance.text for utterance in record.utterances}
    places = [p for f in record.findings for p in f.said]
    places += [p for q in record.questions for p in q.about]
    assert all(f.said for f in record.findings)
    assert all(0 <= p.start < p.end <= len(texts[p.utterance]) for p in places)


@FEW
@given(dictations(), st.data())
def test_a_session_hears_anything(utterances: list[Utterance], data: st.DataObject) -> None:
    session = Session(GRAMMAR)
    for utterance in utterances:
        before = session.record()
        assert not session.preview(begun(data.draw, utterance)).trouble
        assert session.record() == before
        assert not session.hear(utterance).trouble
    record = session.record()
    ways = [{u.text, *(reading.text for reading in u.readings)} for u in utterances]
    assert all(u.text in way for u, way in zip(record.utterances, ways, strict=True))
    assert not record.notices
    _traced(record)


@FEW
@given(dictations())
def test_a_preview_tells_what_will_come(utterances: list[Utterance]) -> None:
    session = Session(GRAMMAR)
    for utterance in utterances:
        shown, taken = session.preview(utterance), session.hear(utterance)
        assert (shown.kind, shown.added, shown.removed) == (taken.kind, taken.added, taken.removed)


@FEW
@given(dictations(), st.data())
def test_an_answer_is_taken_whole_or_not_at_all(
    utterances: list[Utterance], data: st.DataObject
) -> None:
    session = Session(GRAMMAR)
    for utterance in utterances:
        session.hear(utterance)
    for question in session.record().questions:
        labels = [choice.label for choice in question.choices]
        words = data.draw(st.sampled_from([*labels, "a", "b", "right", "four plus", "2", "skip"]))
        before = session.record()
        try:
            session.answer(question.id, words)
        except UsageError as fault:
            assert "fault in the program" not in str(fault)
            assert session.record() == before
    _traced(session.record())


@FEW
@given(hearings(), st.data())
def test_the_tools_own_words_can_be_any_of_it(heard: Utterance, data: st.DataObject) -> None:
    """Whatever it takes out, the words left lie in the text, and the disputes too."""
    first = data.draw(st.integers(0, len(heard.words)))
    last = data.draw(st.integers(first, len(heard.words)))
    own = heard.words[first:last]
    spoken = SpokenSentence(
        tuple(word.text.lower() for word in own),
        own[0].start_s or 0.0 if own else 0.0,
        own[-1].end_s or 0.0 if own else 0.0,
        (own[-1].end_s or 0.0) - (own[0].start_s or 0.0) if own else 0.0,
    )
    rest = without_own_voice(heard, [spoken])
    if rest is None or rest is heard:
        return
    assert all(rest.text[w.start : w.end] == w.text for w in rest.words)
    assert all(0 <= d.start <= d.end <= len(rest.text) for d in rest.disputed)
    assert not Session(GRAMMAR).hear(rest).trouble
