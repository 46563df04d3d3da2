"""A fault in the program itself: where it happened, told and logged without a patient's words.

The message of an error may hold what was said ("KeyError: 'neglect'"), so it is left out: the kind
of error and the line of the program are enough to mend it.
"""

from __future__ import annotations

import logging
from pathlib import Path

_LOG = logging.getLogger("dictate")
#: Nothing on the screen of a dictation: who runs the program as a library sets a handler.
_LOG.addHandler(logging.NullHandler())
_HERE = Path(__file__).resolve().parent


def note_fault(fault: Exception) -> str:
    """Log a fault, and say where it is: the kind of error, the file and the line.

    Args:
        fault: Just caught.
    """
    where = place_of(fault)
    _LOG.error("A fault in the program: %s", where)
    return where


def place_of(fault: Exception) -> str:
    """Where a fault happened: the innermost line of this program on its way."""
    place, at = "", fault.__traceback__
    while at is not None:
        file = Path(at.tb_frame.f_code.co_filename)
        if not place or _HERE in file.parents:
            place = f", {file.name} line {at.tb_lineno}"
        at = at.tb_next
    return f"{type(fault).__name__}{place}"
