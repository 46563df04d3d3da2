"""What a question calls things: by the grammar's own names, and no promise that cannot be kept."""

from __future__ import annotations

import pytest

from dictate.grammar import load_grammar
from dictate.resolve.draft import Draft
from dictate.resolve.questions import prompt

GRAMMAR = load_grammar()


@pytest.mark.parametrize("kind", ["side", "value", "conflict"])
def test_a_name_keeps_its_own_capitals(kind):
    for test, spec in GRAMMAR.tests.items():
        first, rest = spec.name[0].upper(), spec.name[1:]
        asked = prompt(GRAMMAR, kind, Draft(tests=[test]), "")
        assert asked.startswith(f"{first}{rest}"), test
        sided = prompt(GRAMMAR, kind, Draft(tests=[test]), "", side="left")
        assert sided.startswith(f"Left {spec.name}"), test


def test_what_is_quoted_is_quoted_as_it_was_said():
    assert prompt(GRAMMAR, "value", Draft(), "the Foo on the Left").startswith("“the Foo on the Le")


def test_parts_are_asked_for_only_where_a_total_has_some():
    for test, spec in GRAMMAR.tests.items():
        scale = GRAMMAR.scales.get(spec.scale or "")
        asked = prompt(GRAMMAR, "value", Draft(tests=[test]), "")
        assert ("parts" in asked) == bool(scale and scale.parts), test
