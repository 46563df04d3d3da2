"""The open questions at the terminal, one at a time."""

from __future__ import annotations

from typing import Protocol

import click

from dictate.errors import UsageError
from dictate.grammar.load import Grammar
from dictate.model import Question, Record
from dictate.resolve.helping import may_be_answered
from dictate.resolve.menu import menu_lines
from dictate.resolve.plain_answers import plain_meaning
from dictate.session import Heard


class Asked(Protocol):
    """A session, or an examination in its folder."""

    grammar: Grammar

    def record(self) -> Record: ...
    def answer(self, question: str, words: str) -> Heard: ...


def ask_all(narration: Asked) -> None:
    """Ask every open question; an answer may open the next one.

    Args:
        narration: Whose questions.
    """
    passed: list[str] = []
    settled = 0
    while True:
        waiting = [q for q in narration.record().questions if q.id not in passed]
        if not waiting:
            return
        number = settled + len(passed) + 1
        _show(waiting[0], number, number + len(waiting) - 1, narration.grammar)
        try:
            done = _answered(narration, waiting[0])
        except click.Abort:
            click.echo("\nStopped. What is not answered stays open.", err=True)
            return
        if done:
            settled += 1
        else:
            passed.append(waiting[0].id)


def _show(question: Question, number: int, of: int, grammar: Grammar) -> None:
    click.echo(
        f"\nQuestion {number} of {of}. Enter leaves it open, ? helps, Ctrl-D stops.", err=True
    )
    click.echo(question.prompt, err=True)
    for line in menu_lines(question, grammar):
        click.echo(f"  {line}", err=True)


def _answered(narration: Asked, question: Question) -> bool:
    """Ask until there is an answer, or the question is left open.

    Returns:
        Whether it was settled.
    """
    while True:
        words = click.prompt("", prompt_suffix="> ", default="", show_default=False, err=True)
        if plain_meaning(words, narration.grammar) == "help":
            said = may_be_answered(question, narration.grammar)
            click.echo(f"  {said} Enter leaves it open; it stands in the note then.", err=True)
            continue
        if not words.strip():
            return False
        try:
            narration.answer(question.id, words)
        except UsageError as fault:
            click.echo(f"{fault}\n{question.prompt}", err=True)
            continue
        return all(q.id != question.id for q in narration.record().questions)
