"""What the chart builds: names, values and claims, typed by the tests that they can belong to.

A set of tests is a bit mask, so that "does this value fit this name" is one ``&``.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import lru_cache

from dictate.grammar.load import Grammar
from dictate.interpret.lexicon import Reading
from dictate.interpret.statement import Said
from dictate.parse.items import Item
from dictate.resolve.fit import fit

Span = tuple[int, int]


class Types:
    """The masks of a grammar's senses."""

    def __init__(self, grammar: Grammar) -> None:
        """Number the tests."""
        self.grammar = grammar
        self.bit = {name: 1 << i for i, name in enumerate(grammar.tests)}
        self.all = (1 << len(self.bit)) - 1
        self.active = frozenset(grammar.classes.get("active", ()))
        self.so_too = frozenset(grammar.classes.get("so_too", ()))
        self.meant = frozenset(grammar.classes.get("meant", ()))
        #: "Is" and its like say that what comes is so.
        self.copula = frozenset(grammar.classes.get("copula", ()))
        self._named: dict[int, tuple[str, ...]] = {}
        self._sites: dict[tuple[str, str, str], int] = {}
        self._values: dict[object, int] = {}
        self._lifted: dict[int, int] = {}
        self.deniable = self.of(
            n for n, t in grammar.tests.items() if t.denied or t.named or "absent" in t.values
        )
        self.headable = self.of(n for n, t in grammar.tests.items() if t.heading)
        self.named = self.of(n for n, t in grammar.tests.items() if t.named)
        self.graded = self.of(
            n for n, t in grammar.tests.items() if t.scale and grammar.scales[t.scale].unnamed
        )
        #: Tests of what is there or is not ("Hoffmann and Tromner negative").
        self.shown = self.of(
            n for n, t in grammar.tests.items() if {"present", "absent"} <= t.values.keys()
        )
        self.siteless = self.of(n for n, t in grammar.tests.items() if t.sites == "-")
        #: Tests with words that hold beside a grade ("spastic, Ashworth two").
        self.along = self.of(
            n for n, t in grammar.tests.items() if any(v.along for v in t.values.values())
        )
        self.summary = self.of(
            n for n, t in grammar.tests.items() if t.gives_way or t.numbered or t.of_limbs
        )
        self.general = self.of(n for n, t in grammar.tests.items() if t.gives_way)

    def lifted(self, mask: int) -> int:
        """The tests of a mask, and those that they only say the manner of ("sensation" in V1)."""
        if mask not in self._lifted:
            more = mask
            for name, spec in self.grammar.tests.items():
                if any(self.bit[m] & mask for m in spec.modalities):
                    more |= self.bit[name]
            self._lifted[mask] = more
        return self._lifted[mask]

    def of(self, names: Iterable[str]) -> int:
        """The mask of some tests."""
        mask = 0
        for name in names:
            mask |= self.bit[name]
        return mask

    def names(self, mask: int) -> list[str]:
        """The tests of a mask, in the order of the grammar."""
        if mask not in self._named:
            self._named[mask] = tuple(name for name, bit in self.bit.items() if bit & mask)
        return list(self._named[mask])

    def is_sign(self, name: str) -> bool:
        """A test without grades whose sign is there or is not, so that "+" says that it is."""
        spec = self.grammar.tests[name]
        return spec.scale is None and bool(spec.named) and "present" in spec.values

    def site(self, r: Reading) -> int:
        """The tests that take a site in this sense."""
        key = (r.group, r.test, r.id)
        if key not in self._sites:
            mask = 0
            for name in self.grammar.tests:
                own = r.test == name if r.test else self._takes(name, r)
                mask |= self.bit[name] if own else 0
            self._sites[key] = mask
        return self._sites[key]

    def _takes(self, test: str, r: Reading) -> bool:
        """The test takes the site, or each one of a range of them."""
        sites = r.sites or (r.id,)
        return all(self.grammar.takes_site(test, r.group, site) for site in sites)

    def sites(self, readings: Iterable[Reading]) -> int:
        """The tests that take one of these sites."""
        mask = 0
        for r in readings:
            mask |= self.site(r)
        return mask

    def value(self, item: Item) -> int:
        """The tests that take a value or grade, whether on their scale or beyond it."""
        g = item.grade
        key = (
            (g.number, g.sign, g.of, g.of_sign, g.slash, g.until, g.unit, g.plusses, g.missed)
            if g
            else item.text
        )
        if key not in self._values:
            said = Said(grade=g) if g else Said(readings=item.readings)
            mask = 0
            for name in self.grammar.tests:
                found = fit(self.grammar, name, said)
                plus = g is not None and g.plusses and self.is_sign(name)
                mask |= self.bit[name] if found is not None or plus else 0
            self._values[key] = mask
        return self._values[key]


@lru_cache(maxsize=4)
def types_of(grammar: Grammar) -> Types:
    """The types of a grammar, built once."""
    return Types(grammar)


class Name:
    """What was examined, as one name: a test, a site, a sign, a side, or several of these.

    ``tests``: mask of the tests named (0: none). ``sites``: its site in every sense. ``sign``: the
    senses in which the name says a value. ``both``: a plural of a paired thing. ``placed``: it
    stood after a word of place. ``limb``: the limb that it was said to be part of.
    """

    def __init__(self) -> None:
        self.tests = 0
        self.kinds: tuple[Reading, ...] = ()
        self.sites: tuple[Reading, ...] = ()
        self.smask = 0
        self.sign: tuple[Reading, ...] = ()
        self.side: str | None = None
        self.both = False
        self.dual = False
        self.placed = False
        self.edge = False
        self.joined = False
        self.limb = ""
        self.spans: tuple[Span, ...] = ()

    def copy(self) -> Name:
        """The same once more."""
        twin = Name.__new__(Name)
        twin.__dict__.update(self.__dict__)
        return twin

    def mask(self, types: Types) -> int:
        """The tests that this name can be of."""
        mask = self.tests or types.all
        if not self.sites:
            return mask
        return mask & self.smask or types.lifted(mask) & self.smask


class Val:
    """What was found: a value or grade, a denial, or that it was not done."""

    __slots__ = ("alike", "deny", "item", "mask", "negated", "notdone", "span", "trouble")

    def __init__(self, item: Item | None, span: Span, mask: int) -> None:
        self.item = item
        self.span = span
        self.mask = mask
        self.negated = False
        self.deny = False
        self.notdone = ""
        self.alike = False
        self.trouble = False

    def copy(self) -> Val:
        """The same once more."""
        twin = Val(self.item, self.span, self.mask)
        twin.negated, twin.deny, twin.notdone = self.negated, self.deny, self.notdone
        twin.alike, twin.trouble = self.alike, self.trouble
        return twin

    @property
    def looked_for(self) -> bool:
        """Somebody looked for it in vain ("I couldn't get")."""
        item = self.item
        return item is not None and (item.verb == "seek" or bool(item.of_kind("sought")))


class Claim:
    """A claim as far as it was read: the active edge of the chart.

    ``mode``: S nothing yet, N names, V a value, VN a value and then names, NV complete.
    ``pside``, ``pneg``, ``pprep``: said and waiting for what they belong to. ``sep``: what stood
    since the last content. ``link``: how it hangs on the claim before. ``prev``: that claim.
    ``held``: the test that a heading lets hold.
    """

    def __init__(self) -> None:
        self.cost = 0.0
        self.mode = "S"
        self.names: tuple[Name, ...] = ()
        self.places: tuple[Name, ...] = ()
        self.values: tuple[Val, ...] = ()
        self.side: str | None = None
        self.side_placed = False
        self.pside: str | None = None
        self.pside_span: Span | None = None
        self.pneg: Span | None = None
        self.pprep = ""
        self.sep = ""
        self.last = ""
        self.link = "start"
        self.prev: Claim | None = None
        self.start = -1
        self.end = -1
        self.details: tuple[tuple[Item, Span], ...] = ()
        self.doubts: tuple[Span, ...] = ()
        self.degrees: tuple[Span, ...] = ()
        self.reasons: tuple[Span, ...] = ()
        self.unknown: tuple[Span, ...] = ()
        self.asides: tuple[Span, ...] = ()
        self.rest = False
        self.repeat = False
        self.colon = False
        self.fix = ""
        self.compare: tuple[Span, ...] = ()
        self.sections: tuple[str, ...] = ()
        self.parts: tuple[tuple[Item, Item], ...] = ()
        self.why: tuple[str, ...] = ()
        self.stop = False
        self.talk: tuple[Span, ...] = ()
        self.order = ""
        self.hesitant = False
        self.eats = ""
        self.eaten: tuple[Span, ...] = ()
        self.listed_or = False
        self.heads = False
        self.strange: tuple[Span, ...] = ()
        self.uneven = False
        self.twice = False
        self.soft = False
        self.is_so = False
        self.announced = False
        self.after_colon = False
        self.why_not = False
        self.leftover: tuple[Span, ...] = ()
        self.side_cut = False
        self.oring = False
        self.list_side: str | None = None
        self.held = 0
        self.list_far = False
        self.side_far = False
        self.more = False
        self.meant = False
        self.those: Item | None = None
        self.there = False
        #: The value that was said by mistake ("not a three plus").
        self.wrong: Val | None = None

    def copy(self) -> Claim:
        """The same once more, to go on with."""
        twin = Claim.__new__(Claim)
        twin.__dict__.update(self.__dict__)
        return twin

    @property
    def empty(self) -> bool:
        """Nothing of an examination is in it."""
        return not (
            self.names or self.places or self.values or self.side or self.pside or self.repeat
            or self.sections or self.parts or self.fix
        )  # fmt: skip

    def chain(self) -> list[Claim]:
        """This claim and all before it, in the order of speech."""
        out: list[Claim] = []
        claim: Claim | None = self
        while claim is not None:
            out.append(claim)
            claim = claim.prev
        return out[::-1]
