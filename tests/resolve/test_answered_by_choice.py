"""A choice that is answered by its own words brings that choice and never another one."""

from __future__ import annotations

import pytest

from dictate.errors import UsageError
from dictate.grammar import load_grammar
from dictate.model import Utterance
from dictate.resolve.menu import answer_of
from dictate.session import Session

GRAMMAR = load_grammar()


@pytest.mark.parametrize("test", GRAMMAR.tests)
def test_a_value_is_answered_by_itself(test):
    session = Session(GRAMMAR, alone=True)
    session.take(Utterance("u1", f"{GRAMMAR.tests[test].name} is, um."))
    for question in session.record().questions:
        for number, choice in enumerate(question.choices):
            twin = session.twin()
            try:
                heard = twin.answer(question.id, answer_of(question, GRAMMAR, number))
            except UsageError:
                continue  # refused, and so still open
            meant = {(f.test, f.site, f.side, f.value) for f in choice.findings}
            brought = {(f.test, f.site, f.side, f.value) for f in heard.added}
            if meant:
                assert brought == meant, choice.label
            else:  # it leaves another question open
                spoken = choice.label.replace(" ", "_")
                assert {value for *_, value in brought} <= {spoken}, choice.label
