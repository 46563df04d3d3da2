"""What a claim gives: findings, and what must be asked of it."""

from __future__ import annotations

from dataclasses import dataclass, field

from dictate.model import Finding, QuestionKind

#: What is asked first where one claim lacks several things.
FIRST: tuple[QuestionKind, ...] = (
    "heard",
    "scale",
    "conflict",
    "value",
    "site",
    "test",
    "side",
    "referent",
)


@dataclass(slots=True)
class Draft:
    """Findings of a claim, and what must be asked of it: kind, and what is offered."""

    findings: list[Finding] = field(default_factory=list)
    asks: list[tuple[QuestionKind, list[str]]] = field(default_factory=list)
    tests: list[str] = field(default_factory=list)
    site: str | None = None
    sides: list[str] = field(default_factory=list)
    why: list[str] = field(default_factory=list)
    #: As in the other reader: what would be recorded if all was understood, and what was not.
    held: tuple[Finding, ...] = ()
    strange: str = ""

    @property
    def ask(self) -> tuple[QuestionKind, list[str]] | None:
        """The one question of the claim: the first that its answer depends on."""
        return min(self.asks, key=lambda ask: FIRST.index(ask[0]), default=None)
