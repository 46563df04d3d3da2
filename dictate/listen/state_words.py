"""Whether the tool listens, and what changes that, in words."""

from __future__ import annotations

from dictate.grammar.load import Grammar
from dictate.listen.requests import shown_wording
from dictate.listen.view import View


def status_words(view: View, grammar: Grammar) -> tuple[str, str]:
    """The state in one or two words, and a sentence on it.

    Args:
        view: What is on.
        grammar: Whose wordings are shown.
    """
    pause, go_on, opening, closing, finish = (
        f"“{shown_wording(grammar, kind)}”"
        for kind in ("pause", "go_on", "open", "close", "finish")
    )
    if view.why == "finished":
        return "FINISHED", "The examination is written."
    if view.why == "opening":
        return "NOT HEARING YET", "Waiting for the first sound of the microphone."
    if view.why == "microphone":
        return "NO MICROPHONE", "Nothing is heard. What was heard is kept."
    if view.why == "pause" and not view.listening:
        return "PAUSED", f"Nothing is noted. To go on, say {go_on}."
    if view.mode == "phrase":
        if view.listening:
            return "HEARING YOU", f"Until you say {closing}. To end: {finish}."
        return "NOT HEARING", f"Say {opening} to begin. To end: {finish}."
    if view.mode == "key":
        if view.listening:
            return "HEARING YOU", "While the key says so."
        return "NOT HEARING", "The key begins."
    return "HEARING YOU", f"All the time. Say {pause} to pause, {finish} to end."
