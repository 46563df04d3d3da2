"""Likely mistakes in a grammar file, each with the sentence that says what to do.

Messages, tests and documentation of the messages are this one table.
"""

from __future__ import annotations

#: (what the YAML reader says, or what the line holds, sentence)
MISTAKES: tuple[tuple[str, str], ...] = (
    ("cannot start any token", "a tab stands in the indentation. Use spaces"),
    ("mapping values are not allowed", "a colon too many, or a line above lacks its colon"),
    ("could not find expected ':'", "a colon is missing after the key. Write 'key: value'"),
    ("expected ',' or ']'", "a list is not closed, or a comma is missing. Close it with ]"),
    ("expected ',' or '}'", "a mapping is not closed, or a comma is missing. Close it with }"),
    ("did not find expected ',' or ']'", "a list is not closed, or a comma is missing"),
    ("did not find expected ',' or '}'", "a mapping is not closed, or a comma is missing"),
    ("found unexpected end of stream", "a quote or a bracket is not closed"),
    ("did not find expected key", "the indentation does not match the lines above"),
    ("did not find expected '-' indicator", "the indentation of this list does not match"),
    ("found undefined alias", "an asterisk starts a word. Put the word in quotes"),
)


def sentence(fault: str, text: str, line: int) -> str:
    """Turn a YAML reader's complaint into a sentence for the person who wrote the file.

    Args:
        fault: What the YAML reader said.
        text: The file.
        line: The line (from 1) at which it stopped.
    """
    lines = text.splitlines()
    if 0 < line <= len(lines) and "\t" in lines[line - 1]:
        return "a tab stands in the line. Use spaces."
    for says, meaning in MISTAKES:
        if says in fault:
            return f"{meaning}."
    return "this is not readable as YAML. Compare it with the lines above."
