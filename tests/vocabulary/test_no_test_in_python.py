"""No Python names a test or a site of the grammar: what is examined is data.

An id of several words ("heel_to_shin") means nothing else, so it may stand in no text of a
program at all. An id of one ordinary word ("gait") may be a word of a sentence, a key or a name of
something else; it is looked for where it is the whole of a text.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import dictate
from dictate.grammar import load_grammar

PROGRAM = Path(dictate.__file__).parent
GRAMMAR = load_grammar()
IDS = {*GRAMMAR.tests, *(site for test in GRAMMAR.tests for site in GRAMMAR.sites_of(test))}
#: Ids that are also the name of a file, of a key of the grammar or of a group of sites, or a word
#: that the program writes of something else. Each is a word of plain English.
ORDINARY = {
    "all": "the site that stands for the whole",
    "hand": "what somebody entered by hand",
    "hearing": "what a listener heard",
    "place": "a list of common/speech.yaml, and where words stand",
    "reading": "one way to read an utterance",
    "speech": "common/speech.yaml",
    "time": "when something happened",
    "tone": "a sound that the tool plays",
    "voice": "a synthetic speaker",
}
WORD = re.compile(r"[a-z0-9]+(?:_[a-z0-9]+)*")


def _texts(path: Path) -> Iterator[tuple[int, str]]:
    """Every text of a module that is no docstring, with its line."""
    tree = ast.parse(path.read_text("utf-8"))
    told = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told:
            yield node.lineno, node.value


def _named(text: str) -> set[str]:
    whole = {text} & IDS - ORDINARY.keys()
    return whole | {word for word in WORD.findall(text) if "_" in word and word in IDS}


def test_no_test_and_no_site_stands_in_the_program() -> None:
    found = [
        f"{path.relative_to(PROGRAM)}:{line}: {sorted(named)}"
        for path in sorted(PROGRAM.rglob("*.py"))
        for line, text in _texts(path)
        if (named := _named(text))
    ]
    assert not found


def test_what_would_name_one_is_found() -> None:
    assert _named("heel_to_shin") == {"heel_to_shin"}
    assert _named("not (heel_to_shin or gait)") == {"heel_to_shin"}
    assert _named("gait") == {"gait"}
    assert not _named("the gait is what it is, and heel_to_shins are none")
