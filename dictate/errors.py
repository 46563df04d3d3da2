"""Everything that can go wrong for a user, as one family.

::

    DictateError                exit code 1
    ├── UsageError              2   the command cannot be carried out as asked
    ├── GrammarError            3   a grammar file is not understood
    ├── InputError              4   a narration cannot be read (text or sound)
    ├── ModelError              5   the speech model is missing, damaged or cannot be brought
    └── StorageError            6   something could not be written to disk

The message is one sentence that says what is wrong, and one that says what to do. It is shown
as it is: no traceback reaches a user, and no message carries patient data.
"""

from __future__ import annotations


class DictateError(Exception):
    """Base of the family; the command line prints it and exits with ``exit_code``."""

    exit_code = 1


class UsageError(DictateError):
    """The command cannot be carried out as asked."""

    exit_code = 2


class GrammarError(DictateError):
    """A grammar file is not understood; the message names file, line and reason."""

    exit_code = 3


class InputError(DictateError):
    """A narration cannot be read: no text, no sound, or damaged."""

    exit_code = 4


class ModelError(DictateError):
    """The speech model is missing, damaged, or could not be brought."""

    exit_code = 5


class StorageError(DictateError):
    """Something could not be written to disk."""

    exit_code = 6
