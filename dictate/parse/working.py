"""A narration at work: its state, its events, the questions that it opens."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from dictate.grammar.load import Grammar
from dictate.model import (
    Change,
    Finding,
    Place,
    Question,
    QuestionKind,
)
from dictate.parse.categories import Claim, Val, types_of
from dictate.parse.chart import Chart
from dictate.parse.draft import Draft
from dictate.parse.holds import Holds
from dictate.parse.items import Lattice
from dictate.parse.lattice import lattices_of
from dictate.parse.meaning import Meaning
from dictate.parse.state import Event, Open, State, apply
from dictate.parse.targets import Target
from dictate.resolve import questions


class Working:
    """A narration at work: every change goes through ``do`` as an event."""

    def __init__(self, grammar: Grammar, state: State | None = None) -> None:
        """Go on from a state, or from nothing."""
        self.grammar = grammar
        self.lattices = lattices_of(grammar)
        self.types = types_of(grammar)
        self.chart = Chart(self.types)
        self.meaning = Meaning(grammar, self.types)
        self.s = state or State()
        self.events: list[Event] = []
        self.lattice: Lattice | None = None
        #: What the claim before spoke of, in this sentence.
        self.before: list[Target] = []
        #: What the sentence before spoke of, in this utterance.
        self.prior: list[Target] = []
        #: The tests that the sentence before found something of.
        self.told: tuple[str, ...] = ()
        self.taken: list[int] = []
        #: What the sentence before gave, or the utterance before, by its entries.
        self.found_before: list[int] = []
        self.blocked = False
        #: The examiner says of this utterance that it is a statement.
        self.meant = False
        #: Words of a correction stand in this utterance.
        self.correcting = False
        #: Grades of this sentence that were denied beside another ("four, not five").
        self.mistaken: tuple[Val, ...] = ()
        #: The sentence with those words went on with something else.
        self.strayed = False
        #: A claim of this sentence corrected something, so that its like goes on with that.
        self.fixing = False
        #: The claim before was not understood, so that what goes on with it is asked about too.
        self.murky = False
        #: The claim before was a grade of which no side is known.
        self.unsided = False
        #: The values of the claim before, and whether it said where.
        self.said: tuple[Val, ...] = ()
        #: Those of the sentence before; in a sentence that goes on with it they may be denied,
        #: or denied again.
        self.prior_said: tuple[Val, ...] = ()
        self.deny_of: tuple[Val, ...] = ()
        self.again = False
        self.placed = False
        #: A place that nobody knows heads this sentence.
        self.lost = False
        #: Something was found or asked in this utterance before this sentence.
        self.heard = False
        #: Words of the trade in this sentence, and words that nobody knows.
        self.trade = 0
        self.strange = 0
        #: The question that a name without a value left open.
        self.waited: str | None = None
        #: An account goes on until the examination is named.
        self.account = False
        #: The tests of lists whose items could be of several, by the first token of an item.
        self.kindred: dict[int, str] = {}
        #: The utterance opened with the number of a nerve.
        self.nerve = False

    def do(self, kind: str, **data: Any) -> None:
        """Fold in one event."""
        event = Event(kind, data)  # type: ignore[arg-type]
        self.events.append(event)
        self.s = apply(self.s, event)

    def hold(self, **changes: Any) -> None:
        """Change what holds."""
        holds = self.s.holds
        if any(getattr(holds, name) != value for name, value in changes.items()):
            self.do("held", holds=replace(holds, **changes))

    def leave_section(self) -> bool:
        """A new section ends the side, limb and test that held from an earlier utterance."""
        now = len(self.s.utterances)
        gone = {
            name: None
            for name in ("side", "site", "test")
            if (hold := getattr(self.s.holds, name)) is not None and hold.utterance != now
        }
        if gone:
            self.hold(**gone)
        return bool(gone)

    def spoken(self, lattice: Lattice, claim: Claim) -> Place:
        """Where a claim was said."""
        return self.meaning.place(
            lattice, (max(0, claim.start), max(claim.end, claim.start + 1, 1))
        )

    def ask(
        self, lattice: Lattice, claim: Claim, draft: Draft, ask: tuple[QuestionKind, list[str]],
        before: list[Target] | None = None, given: dict[str, str] | None = None,
    ) -> None:  # fmt: skip
        """Open a question about a claim."""
        kind, offered = ask
        holds, behind = self.s.holds, tuple(before or ())
        known = dict(given or {})

        def redo(more: dict[str, str]) -> Draft:
            clear = claim.copy()
            clear.doubts = clear.doubts if "value" not in more else ()
            return self.meaning.draft(lattice, clear, holds, behind, {**known, **more})[0]

        said = lattice.text(max(0, claim.start), max(claim.end, 1))
        doubt = lattice.text(*claim.doubts[0]) if claim.doubts and kind == "value" else ""
        sides = set(draft.sides) or {claim.side, claim.pside} - {
            None,
            "both",
            "alike",
            "other",
        }
        side = next(iter(sides)) if len(sides) == 1 else ""
        question = Question(
            "",
            kind,
            (self.spoken(lattice, claim),),
            questions.prompt(self.grammar, kind, draft, said, doubt, side or ""),  # type: ignore[arg-type]
            questions.options(self.grammar, kind, draft, offered, redo),  # type: ignore[arg-type]
        )
        self.open(question, lattice, claim, holds, behind, known)
        if kind == "value":
            self.do("set", waiting=self.s.open[-1].question.id)

    def open(
        self,
        question: Question,
        lattice: Lattice | None = None,
        claim: Claim | None = None,
        holds: Holds | None = None,
        before: tuple[Target, ...] = (),
        given: dict[str, str] | None = None,
    ) -> None:
        """Open a question; it gets its id here."""
        now = len(self.s.utterances)
        again = any(
            o.utterance == now
            and o.question.kind == question.kind
            and o.question.prompt == question.prompt
            for o in self.s.open
        )
        if again and question.kind == "value":
            return
        named = replace(question, id=f"q{self.s.asked + 1}")
        one = Open(
            named,
            self.s.claims,
            len(self.s.utterances),
            lattice,
            claim,
            holds or Holds(),
            before,
            given or {},
        )
        self.do("asked", open=one)

    def past(
        self, what: str, finding: Finding | None = None, question: Question | None = None
    ) -> None:
        """Write what was taken out into the history."""
        heard = self.lattice.utterance.id if self.lattice else ""
        self.do("past", change=Change(what, heard, finding, question))  # type: ignore[arg-type]
