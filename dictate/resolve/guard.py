"""No error inside the reader ends an examination: what cannot be read becomes a remark.

An error half way through an utterance would leave half of it in the record. So the narration is
put back to where it was, the utterance is listed as a remark, and a notice says so.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

from dictate.audio.source import clock
from dictate.errors import DictateError, UsageError
from dictate.faults import note_fault
from dictate.model import Utterance, UtteranceKind
from dictate.resolve.fork import fork
from dictate.resolve.heard_apart import told_apart
from dictate.resolve.readings import settled
from dictate.resolve.resolver import Resolver
from dictate.resolve.unsure import hear_checked

#: The narration is copied after so many utterances at the latest, and after half as many as it
#: has findings where that is more: so copies cost a long text little.
COPY_EVERY = 50


class Guard:
    """Hears utterances, and remembers what it takes to put a narration back."""

    def __init__(self) -> None:
        """Remember nothing yet."""
        self._copy: Resolver | None = None
        self._since: list[Utterance] = []
        self._mark: tuple[object, ...] = ()

    def hear(self, resolver: Resolver, utterance: Utterance) -> tuple[UtteranceKind, str]:
        """Take one utterance.

        Args:
            resolver: The narration so far.
            utterance: As it was heard.

        Returns:
            The kind of the utterance, and a notice where it could not be read (else nothing).
        """
        self._prepare(resolver)
        try:
            meant = _meant(resolver, utterance)
            kind = hear_checked(resolver, meant)
        except Exception as fault:
            notice = _notice(utterance, note_fault(fault))
            self._put_back(resolver)
            listed = replace(utterance, kind="remark", readings=())
            resolver.utterances.append(listed)
            resolver.notices.append(notice)
            return "remark", notice
        self._since.append(meant)
        self._mark = _mark(resolver)
        return kind, ""

    def _prepare(self, resolver: Resolver) -> None:
        """A copy from which the way here is short, and all of it known."""
        known = self._copy is not None and self._mark == _mark(resolver)
        if not known or len(self._since) >= max(COPY_EVERY, len(resolver.entries) // 2):
            self._copy, self._since = fork(resolver), []

    def _put_back(self, resolver: Resolver) -> None:
        assert self._copy is not None
        before = fork(self._copy)
        for utterance in self._since:
            hear_checked(before, utterance)
        notices = resolver.notices
        vars(resolver).update(vars(before))
        resolver.notices = notices
        self._copy = None


@contextmanager
def unharmed(resolver: Resolver) -> Iterator[None]:
    """What is done inside is done whole or not at all.

    Raises:
        UsageError: An error of the program happened inside; errors of ours go through as they are.
    """
    before = fork(resolver)
    try:
        yield
    except DictateError:
        raise
    except Exception as fault:
        vars(resolver).update(vars(before))
        raise UsageError(
            f"That cannot be taken: a fault in the program ({note_fault(fault)}). "
            "Nothing is changed; say it in other words."
        ) from None


def settled_safely(resolver: Resolver, utterance: Utterance) -> Utterance:
    """The utterance as it is to be read, and as it stands after a fault."""
    try:
        return _meant(resolver, utterance)
    except Exception as fault:
        note_fault(fault)
        return replace(utterance, readings=())


def _meant(resolver: Resolver, utterance: Utterance) -> Utterance:
    """The way to hear it that is a statement, of its readings and of what two listeners heard."""
    return told_apart(resolver, settled(resolver, utterance))


def _mark(resolver: Resolver) -> tuple[object, ...]:
    """What tells whether anything but utterances came in since."""
    return (
        resolver, resolver.statement, len(resolver.entries), len(resolver.pending),
        len(resolver.utterances), len(resolver.history),
    )  # fmt: skip


def _notice(utterance: Utterance, where: str) -> str:
    what = (
        f"What was said at {clock(utterance.start)}"
        if utterance.start is not None
        else f"Statement {utterance.id}"
    )
    return (
        f"{what} could not be read: a fault in the program ({where}). "
        "It stands among the remarks; check it yourself."
    )
