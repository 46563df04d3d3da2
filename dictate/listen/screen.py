"""The terminal while dictating. Drawn on a thread of its own: a slow terminal stops no sound."""

from __future__ import annotations

import threading
from collections.abc import Callable

from rich.console import Console, ConsoleOptions, RenderResult
from rich.live import Live

from dictate.listen.drawing import draw, fitted, meter_cells
from dictate.listen.events import Event, Level
from dictate.listen.plain_lines import PlainLines
from dictate.listen.view import View, Viewer
from dictate.model import Question
from dictate.session import Session

#: Never drawn more often than this (seconds).
SHORTEST_S = 0.1
#: Drawn again after this in any case (seconds): the clock goes on, the window may have changed.
LONGEST_S = 1.0


def open_screen(
    session: Session,
    put: Callable[[], Question | None],
    clock_s: Callable[[], float],
    console: Console | None = None,
    examiners: Callable[[str], str] = str,
) -> Screen | PlainLines:
    """Choose what suits the terminal.

    Args:
        session: The examination.
        put: Gives the question that is being asked.
        clock_s: Gives the length of the examination so far, in seconds.
        console: Where to draw; None for standard output.
        examiners: Leaves the tool's own words out of those being spoken (``Asker.examiners``).

    Returns:
        An observer that is also a context manager: the screen, or plain lines where there is no
        terminal or one that can only write line after line (TERM=dumb).
    """
    console = console or Console(highlight=False)
    viewer = Viewer(session, put, clock_s, examiners)
    if console.is_terminal and not console.is_dumb_terminal:
        return Screen(viewer, session, console)
    return PlainLines(viewer, session, lambda line: console.out(line, highlight=False))


class Screen:
    """The whole terminal, as long as the context lasts (an observer of the loop)."""

    def __init__(self, viewer: Viewer, session: Session, console: Console) -> None:
        """Prepare; nothing is drawn before the context begins."""
        self._viewer = viewer
        self._picture = Picture(viewer.view, session)
        self._live = Live(self._picture, console=console, screen=True, auto_refresh=False)
        self._changed = threading.Event()
        self._over = threading.Event()
        self._painter = threading.Thread(target=self._paint, name="screen", daemon=True)

    def __enter__(self) -> Screen:
        """Take the terminal."""
        self._live.start()
        self._painter.start()
        return self

    def __exit__(self, *_: object) -> None:
        """Give the terminal back as it was."""
        self._over.set()
        self._changed.set()
        self._painter.join(timeout=LONGEST_S)
        self._live.stop()

    def take(self, event: Event, session: Session) -> None:
        """Take note of what happened; it is drawn soon."""
        before = self._viewer.view
        self._viewer.take(event, session)
        self._picture.view = self._viewer.view
        if not isinstance(event, Level) or _looks_different(before, self._viewer.view):
            self._changed.set()

    def _paint(self) -> None:
        while not self._over.is_set():
            self._changed.wait(timeout=LONGEST_S)
            self._changed.clear()
            self._live.refresh()
            self._over.wait(timeout=SHORTEST_S)


def _looks_different(before: View, after: View) -> bool:
    """Whether a new level, or what changed by itself meanwhile, is worth drawing at once."""
    old, new = before.level_dbfs, after.level_dbfs
    moved = old is None or new is None or meter_cells(old) != meter_cells(new)
    return moved or (before.question, before.put) != (after.question, after.put)


class Picture:
    """The view at the size that the terminal has at the moment of drawing."""

    def __init__(self, view: View, session: Session) -> None:
        """Show a view until another one is set."""
        self.view = view
        self._grammar = session.grammar

    def __rich_console__(self, console: Console, options: ConsoleOptions) -> RenderResult:
        """Draw; rich calls this."""
        width, height = console.size
        yield fitted(draw(self.view, self._grammar, console, width, height), height)
