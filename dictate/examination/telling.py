"""What was decided by hand, each in a sentence."""

from __future__ import annotations

from typing import Any

from dictate.grammar.load import Grammar
from dictate.grammar.wording import finding_phrase
from dictate.journal.plain import from_plain
from dictate.model import Finding


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
            return f"Answered “{event['words']}” to “{event['question']['prompt']}”."
        case "patient":
            return f"Named the patient {event['patient']}."
        case "signed":
            return f"Signed by {event['by']}."
    return str(event["event"])


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
