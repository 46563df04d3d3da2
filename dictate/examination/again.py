"""Decisions whose words are gone: they are asked about again, and hold for nothing until then."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from dictate.examination.telling import answer_shown
from dictate.grammar.names import plain
from dictate.grammar.wording import finding_phrase
from dictate.journal.plain import from_plain
from dictate.model import Choice, Finding, Place, Question, Utterance
from dictate.session import Session

Data = dict[str, Any]


def question_id(event: Data) -> str:
    """The id of the question about a decision: the same in every reading."""
    return f"d{event['n']}"


def about_finding(
    session: Session, event: Data, cited: Utterance, old: Finding, new: Finding | None
) -> None:
    """A finding was changed or taken out by hand, and its words are gone.

    Args:
        session: The narration so far.
        event: The decision.
        cited: What was typed or chosen; it is all that the finding can cite now.
        old: What it was about.
        new: What was put in its place; None where it was taken out.
    """
    there = session.record().findings
    phrase = finding_phrase(session.grammar, old)
    if new is None:
        again = [finding for finding in there if _key(finding) == _key(old)]
        if again:  # it was found again, from other words
            session.withdraw(old)
            _ask(session, event, f"You had taken out “{phrase}”. Is it a finding now?", again)
        return
    if any(_key(finding) == _key(new) and finding.detail == new.detail for finding in there):
        return
    new = replace(new, said=(_whole(cited),))
    wanted = finding_phrase(session.grammar, new)
    others = session.withdraw(new)
    if not others:
        prompt = f"You had put “{wanted}”, and the words that it was about are gone. Does it hold?"
        _ask(session, event, prompt, [new])
        return
    labels = [finding_phrase(session.grammar, one) for one in others]
    prompt = f"You had put “{wanted}”, and now it reads “{'; '.join(labels)}”. Which one holds?"
    if len(others) == 1 and others[0].value != new.value:
        choices = tuple(Choice(plain(one.value), (one,)) for one in (new, others[0]))
    else:
        choices = (Choice(wanted, (new,)), Choice("; ".join(labels), tuple(others)))
    session.ask(Question(question_id(event), "conflict", new.said, prompt, choices))


def about_answer(
    session: Session, event: Data, cited: Utterance | None, was: Question | None,
    brought: Sequence[Finding],
) -> None:  # fmt: skip
    """A question was answered, and is not asked any more: does what the answer brought hold?

    Args:
        session: The narration so far.
        event: The answer.
        cited: The answer as it was typed or spoken; it is all that a finding can cite now.
        was: The question, where it is known.
        brought: What the answer added.
    """
    there = {_key(finding) for finding in session.record().findings}
    said = (_whole(cited),) if cited is not None else ()
    lost = [replace(one, said=said) for one in brought if _key(one) not in there]
    if not lost:
        return
    words = "; ".join(finding_phrase(session.grammar, one) for one in lost)
    asked = f"{was.prompt} " if was is not None else ""
    answered = answer_shown(event, session.grammar)
    for finding in lost:
        session.withdraw(finding)
    prompt = (
        f"{asked}You answered “{answered}”, and the words that it was about are gone. "
        f"Does “{words}” hold?"
    )
    _ask(session, event, prompt, lost)


def about_words(session: Session, event: Data) -> None:
    """Words or a kind were set for an utterance that is no more there."""
    was = from_plain(Utterance, event["was"])
    if event["event"] != "words":
        session.notice(
            f"“{was.text}” was marked as “{event['kind']}” by hand and is not heard any more"
        )
        return
    twin = session.twin()
    twin.hear_apart(Utterance(question_id(event), event["text"], hand="added"))
    new = set(twin.record().findings) - set(session.record().findings)
    found = [finding for finding in twin.record().findings if finding in new]
    prompt = (
        f"You had corrected “{was.text}” to “{event['text']}”, and it is not heard any more. "
        "Does it hold?"
    )
    session.list_as(Utterance(question_id(event), event["text"], hand="added"), "finding")
    _ask(session, event, prompt, found)


def _ask(session: Session, event: Data, prompt: str, findings: Sequence[Finding]) -> None:
    about = tuple(dict.fromkeys(place for finding in findings for place in finding.said))
    choices = (Choice("yes", tuple(findings)), Choice("no"))
    session.ask(Question(question_id(event), "heard", about, prompt, choices))


def _whole(utterance: Utterance) -> Place:
    return Place(utterance.id, 0, len(utterance.text), utterance.start, utterance.end)


def _key(finding: Finding) -> tuple[str, str | None, str | None, str]:
    return finding.test, finding.site, finding.side, finding.value
