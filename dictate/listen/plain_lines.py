"""The same without a terminal's abilities: one line for each thing that happened."""

from __future__ import annotations

from collections.abc import Callable

from dictate.listen.events import ByHand, Event, Finished, HeardUtterance, Level, Partial, Preview
from dictate.listen.replies import choice_words
from dictate.listen.state_words import status_words
from dictate.listen.view import View, Viewer
from dictate.session import Session


class PlainLines:
    """Writes lines (an observer of the loop); provisional words are not written."""

    def __init__(self, viewer: Viewer, session: Session, write: Callable[[str], object]) -> None:
        """Begin.

        Args:
            viewer: Gathers what is to be shown.
            session: Whose wordings are used.
            write: Takes a line without its line break.
        """
        self._viewer, self._grammar, self._write = viewer, session.grammar, write
        self._asked: str | None = None
        self._state = ""

    def __enter__(self) -> PlainLines:
        """Nothing to prepare."""
        return self

    def __exit__(self, *_: object) -> None:
        """Nothing to tidy up."""

    def take(self, event: Event, session: Session) -> None:
        """Write what happened."""
        before = self._viewer.view
        self._viewer.take(event, session)
        view = self._viewer.view
        if not isinstance(event, Level | Partial | Preview):
            self._tell(event, before, view)
        self._ask(view)

    def _tell(self, event: Event, before: View, view: View) -> None:
        state = ". ".join(status_words(view, self._grammar))
        if state != self._state and not isinstance(event, Finished):
            self._state = state
            self._write(state)
        if view.trouble and view.trouble != before.trouble:
            self._write(f"!! {view.trouble}")
        if isinstance(event, ByHand):
            self._write("by hand:")
            self._changes(view)
        elif isinstance(event, HeardUtterance) or view.words != before.words:
            outcome = f" ({view.outcome})" if view.outcome else ""
            self._write(f"heard: {view.words}{outcome}")
            self._changes(view)
        if view.said and view.said != before.said:
            self._write(view.said)
        if isinstance(event, Finished) and event.folder is not None:
            self._write(f"written to {event.folder}")

    def _changes(self, view: View) -> None:
        for text in view.added:
            self._write(f"  + {text}")
        for text in view.removed:
            self._write(f"  - no more: {text}")

    def _ask(self, view: View) -> None:
        """A question is written once, when it is put."""
        asked = view.question.id if view.put and view.question is not None else None
        if asked is not None and asked != self._asked and view.question is not None:
            labels = ", ".join(choice_words(view.question, self._grammar))
            self._write(f"? {view.question.prompt}{f' ({labels})' if labels else ''}")
        self._asked = asked
