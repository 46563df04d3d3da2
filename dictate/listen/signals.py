"""What ends a program that listens from outside: Ctrl-C, SIGTERM, a terminal that is closed."""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def stopped_by_signals(stop: Callable[[], None]) -> Iterator[None]:
    """While the context lasts they call a function, and nothing is lost.

    Args:
        stop: Called from a signal handler; it must come back at once.
    """
    names = [name for name in ("SIGINT", "SIGTERM", "SIGHUP") if hasattr(signal, name)]
    before = {name: signal.getsignal(getattr(signal, name)) for name in names}
    for name in names:
        signal.signal(getattr(signal, name), lambda *_: stop())
    try:
        yield
    finally:
        for name, handler in before.items():
            signal.signal(getattr(signal, name), handler)
