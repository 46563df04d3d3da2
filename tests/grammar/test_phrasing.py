"""The files for hearing are held to the grammar like all others."""

from __future__ import annotations

import pytest

from dictate.errors import GrammarError
from dictate.grammar import load_grammar, read_grammar
from dictate.grammar.folder import grammar_files, grammar_folder
from dictate.grammar.phrasing import words_with_meaning


def read(**changed: str | None):
    """The grammar that came with the program, with some files of common/ changed or left out."""
    texts = dict(grammar_files(grammar_folder()))
    for name, text in changed.items():
        path = f"common/{name}.yaml"
        texts.pop(path)
        if text is not None:
            texts[path] = text
    return read_grammar(texts.items())


def test_a_grammar_for_typed_text_needs_neither_file():
    found = read(heard_as=None, phrasing=None)
    assert found.heard_as == {} and found.phrasing == ()


@pytest.mark.parametrize(
    ("say", "each", "named"),
    [("{tset} {value}", "value", "tset"), ("{test}", "tests_of", "tests_of"), ("{}", "test", "''")],
)
def test_an_unknown_slot(say, each, named):
    text = (
        f'phrasing:\n  - {{each: test, say: ["{{test}}"]}}\n  - {{each: {each}, say: ["{say}"]}}\n'
    )
    with pytest.raises(GrammarError, match=rf"common/phrasing\.yaml:3: .*{named}.* is no slot"):
        read(phrasing=text)


def test_a_side_is_no_slot_to_go_through():
    with pytest.raises(GrammarError, match="side"):
        read(phrasing='phrasing:\n  - {each: side, say: ["{side}"]}\n')


@pytest.mark.parametrize("word", ["no", "four", "left", "bilateral", "except", "plus", "sorry"])
def test_a_spelling_with_a_word_that_changes_findings(word):
    text = f"heard_as:\n  clonus: [clone us]\n  zibzab: [zip {word}]\n"
    with pytest.raises(GrammarError, match=rf"common/heard_as\.yaml:3: .*holds '{word}'"):
        read(heard_as=text)


def test_an_empty_spelling():
    with pytest.raises(GrammarError, match="empty"):
        read(heard_as='heard_as:\n  clonus: [" "]\n')


def test_words_with_meaning_come_from_the_grammar():
    found = words_with_meaning(load_grammar())
    assert {"five", "right", "both", "without", "minus", "correction"} <= found
    assert not {"oh", "um", "tone", "the"} & found
