"""What the reader says of one utterance: statements, before anything is filled in."""

from __future__ import annotations

from dataclasses import dataclass, field

from dictate.interpret.grades import Grade
from dictate.interpret.lexicon import Reading

#: A stretch of tokens, end exclusive.
Span = tuple[int, int]


@dataclass(slots=True)
class Target:
    """What was examined: tests named, one site word with all its readings, a side.

    ``carried``: the side of an item before it in the list. ``both``: a plural of a paired thing.
    ``signs``: words that name a test and a value at once. ``dual``: one word that is a test and a
    site. ``whole``: a whole arm or leg. ``joined``: one form names several tests ("gait and
    station"). ``odd``: a word nobody knows stands right before it and may change it.
    """

    tests: list[Reading] = field(default_factory=list)
    sites: list[Reading] = field(default_factory=list)
    signs: list[Reading] = field(default_factory=list)
    side: str | None = None
    both: bool = False
    placed: bool = False
    odd: str = ""
    edge: bool = False
    dual: bool = False
    whole: bool = False
    joined: bool = False
    section: bool = False
    side_after: bool = False
    sign_first: bool = False
    carried: str | None = None
    values: list[Reading] = field(default_factory=list)
    spans: list[Span] = field(default_factory=list)

    @property
    def on_limb(self) -> bool:
        """Its site may be an arm or a leg, or a part of one."""
        return any(reading.group == "limb" for reading in self.sites)


@dataclass(slots=True)
class Said:
    """A value as said: a grade or a value word with all its readings, perhaps denied.

    ``unmoved``: it is denied as something that a part did ("does not deviate").
    """

    grade: Grade | None = None
    readings: tuple[Reading, ...] = ()
    negated: bool = False
    spans: list[Span] = field(default_factory=list)
    unmoved: bool = False


@dataclass(slots=True)
class Statement:
    """One statement: targets, values and what qualifies them; nothing is filled in yet.

    ``link`` says how it hangs on the one before: start, and, but, except, correct, heading.
    ``value_first``: the value was said before its targets. ``copied``: its targets are those of
    the statement before ("and four minus on the left"). ``side`` holds for all of its targets.
    ``owners``: the tests that a detail belongs to, where its word is a value or a name as well.
    ``states``: it is a clause with a verb of its own, which a denial before it does not reach.
    ``well``: one of its names says that something is normal ("pupils normal").
    ``sought``: it is denied by somebody who looked for it.
    ``unmoved``: as in ``Said``.
    ``measured``: a number that is no grade was said in it ("ten seconds").
    ``strange_name``: a word that nobody knows, and that may be a name, stands before its value.
    ``too``: names with "too" after them, which take no value from what follows.
    ``offered``: what it is said of was named in the utterance before, so that it is only asked.
    ``every``: its value was said of each thing named, or of the whole ("all absent").
    ``apart``: a comma stands between its value and the name after it.
    ``list_side``: the side at the end of its list; ``list_closed``: it stood there by itself.
    ``both_compared``: a comparison of the two sides ("right more than left") was said of it.
    """

    link: str = "start"
    targets: list[Target] = field(default_factory=list)
    values: list[Said] = field(default_factory=list)
    side: str | None = None
    side_placed: bool = False
    lone_side: bool = False
    denied: bool = False
    sought: bool = False
    unmoved: bool = False
    not_done: str | None = None
    value_first: bool = False
    copied: bool = False
    both_after: bool = False
    too: bool = False
    every: bool = False
    apart: bool = False
    symmetric: bool = False
    repeat: bool = False
    sections: list[str] = field(default_factory=list)
    details: list[Span] = field(default_factory=list)
    owners: dict[Span, frozenset[str]] = field(default_factory=dict)
    labels: list[tuple[Reading, Span]] = field(default_factory=list)
    parts: list[tuple[Reading, Grade]] = field(default_factory=list)
    doubts: list[Span] = field(default_factory=list)
    reasons: list[Span] = field(default_factory=list)
    compared: list[Span] = field(default_factory=list)
    both_compared: bool = False
    rest: bool = False
    part: str = ""
    unknown: list[Span] = field(default_factory=list)
    strange_name: bool = False
    talk: bool = False
    hesitant: bool = False
    states: bool = False
    well: bool = False
    alternative: bool = False
    unclear: bool = False
    measured: bool = False
    lost_place: bool = False
    offered: bool = False
    opens_place: bool = False
    list_side: str | None = None
    list_closed: bool = False
    spans: list[Span] = field(default_factory=list)

    @property
    def has_value(self) -> bool:
        """Something was said of the targets."""
        signs = any(target.signs for target in self.targets)
        return bool(self.values or self.denied or self.not_done or self.parts or signs)

    @property
    def empty(self) -> bool:
        """Nothing of the examination is in it."""
        return not (self.targets or self.has_value or self.side or self.repeat or self.sections)
