"""What was decided by hand, each in a sentence."""

from __future__ import annotations

from typing import Any

from dictate.grammar.load import Grammar
from dictate.grammar.wording import finding_phrase
from dictate.journal.plain import from_plain
from dictate.model import Finding, Question
from dictate.resolve.menu import marked


def told(event: dict[str, Any], grammar: Grammar) -> str:
    """Tell what an event did.

    Args:
        event: A line of the journal about a decision by hand.
        grammar: Whose words are used.
    """
    match event["event"]:
        case "typed":
            return f"Typed “{event['utterance']['text']}”."
        case "words":
            return f"Corrected “{event['was']['text']}” to “{event['text']}”."
        case "sorted":
            return f"“{event['was']['text']}” is {_KINDS[event['kind']]}."
        case "put":
            return f"Added “{_phrase(event['finding'], grammar)}”."
        case "changed":
            old, new = (_phrase(event[name], grammar) for name in ("was", "finding"))
            return f"Changed “{old}” to “{new}”."
        case "taken_out":
            return f"Took out “{_phrase(event['was'], grammar)}”."
        case "replied":
            return f"{event['question']['prompt']} Answered “{answer_shown(event, grammar)}”."
        case "patient":
            return f"Named the patient {event['patient']}."
        case "signed":
            return f"Signed by {event['by']}."
    return str(event["event"])


def answer_shown(event: dict[str, Any], grammar: Grammar) -> str:
    """The words of an answer; where they are a choice's mark, the choice.

    Args:
        event: A line of the journal with ``words`` and, where it is known, the whole ``question``.
        grammar: Which marks the choices have.
    """
    if not isinstance(event["question"], dict):
        return str(event["words"])
    choice = marked(from_plain(Question, event["question"]), grammar, str(event["words"]))
    return choice.label if choice is not None else str(event["words"])


#: Kinds of utterances as a sentence calls them.
_KINDS = {
    "finding": "a finding",
    "command": "for the tool",
    "to_patient": "said to the patient",
    "by_patient": "said by the patient",
    "remark": "a remark",
}


def _phrase(finding: dict[str, Any], grammar: Grammar) -> str:
    return finding_phrase(grammar, from_plain(Finding, finding))
