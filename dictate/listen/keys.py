"""Key presses from the terminal, or lines from whatever standard input is (a pedal's program)."""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def key_presses(press: Callable[[], None]) -> Iterator[None]:
    """Call a function for each key press while the context lasts.

    On a terminal every key counts at once, and none is shown; elsewhere every line.

    Args:
        press: Called on a thread of its own.
    """
    if sys.stdin is None or sys.stdin.closed:
        yield
        return
    try:
        descriptor = sys.stdin.fileno()
    except (OSError, ValueError):  # nothing that keys could come from
        yield
        return
    terminal = os.isatty(descriptor)
    with _keys_at_once(descriptor, terminal):
        reader = threading.Thread(
            target=_read, args=(descriptor, terminal, press), name="keys", daemon=True
        )
        reader.start()
        yield


def _read(descriptor: int, terminal: bool, press: Callable[[], None]) -> None:
    while True:
        try:
            data = os.read(descriptor, 1024)
        except OSError:
            return
        if not data:
            return
        # a key may send several bytes (an arrow); lines of a pipe may come together
        for _ in range(1 if terminal else data.count(b"\n")):
            press()


@contextmanager
def _keys_at_once(descriptor: int, terminal: bool) -> Iterator[None]:
    """Keys without a line's end, and without an echo; Ctrl-C stays what it is."""
    if not terminal:
        yield
        return
    try:
        import termios
    except ImportError:  # no such terminal on this system: lines it is
        yield
        return
    before = termios.tcgetattr(descriptor)
    now = termios.tcgetattr(descriptor)
    now[3] &= ~(termios.ICANON | termios.ECHO)
    termios.tcsetattr(descriptor, termios.TCSADRAIN, now)
    try:
        yield
    finally:
        termios.tcsetattr(descriptor, termios.TCSADRAIN, before)
