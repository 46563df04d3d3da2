"""The items of a lattice: stretches of tokens, and the roles that their senses allow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from dictate.interpret.columns import Columns
from dictate.interpret.grades import Grade
from dictate.interpret.lexicon import Reading
from dictate.interpret.marks import Speaker
from dictate.interpret.tokens import Token, norms
from dictate.interpret.told import Told
from dictate.model import Utterance

#: Which roles a sense may play in a statement. What is not listed plays none ("misc").
ROLES: dict[str, str] = {
    "test": "TEST",
    "after_site": "TEST",
    "site": "SITE",
    "sign": "SIGN",
    "value": "VALUE",
    "grade_word": "VALUE",
    "trouble": "TROUBLE",
    "side": "SIDE",
    "trails": "SIDE",
    "both_after": "ALIKE",
    "deny": "DENY",
    "neither": "DENY",
    "denying": "DENY",
    "denied": "DENIED",
    "not_tested": "NOTDONE",
    "unable": "NOTDONE",
    "pseudo": "UNKNOWN",
    "exception": "EXCEPT",
    "contrast": "BUT",
    "join": "AND",
    "either": "AND",
    "versus": "AND",
    "repeat": "REPEAT",
    "take_back": "TAKEBACK",
    "replace": "REPLACE",
    "swap": "SWAP",
    "reason": "REASON",
    "opinion": "REASON",
    "doubt": "DOUBT",
    "request": "DOUBT",
    "detail": "DETAIL",
    "direction": "DETAIL",
    "part": "PART",
    "section": "SECTION",
    "compare": "COMPARE",
    "edge": "EDGE",
    "quality": "DETAIL",
    "degree": "DEGREE",
    "rest": "REST",
    "place": "PREP",
    "foreign": "UNKNOWN",
    "limb_part": "DETAIL",
    "range": "RANGE",
    "circumstance": "ASIDE",
    "past": "ASIDE",
    "condition": "ASIDE",
    "hearsay": "ASIDE",
    "another": "ASIDE",
    "people": "ASIDE",
    "expectation": "ASIDE",
    "elsewhere": "ASIDE",
    "reported": "ASIDE",
    "ended": "DENIED",
    "failing": "DENY",
    "missed": "UNKNOWN",
    "other_part": "UNKNOWN",
    "symptom": "UNKNOWN",
    "instruct": "TALK",
    "you": "TALK",
    "ask": "TALK",
    "account": "ASIDE",
    "forgot": "HESITATION",
    "there_place": "THERE",
    "own": "OWN",
    "cue": "CUE",
    "cue_weak": "CUE",
    "mends": "CUE",
    "flip": "SWAP",
    "all_of_it": "CUE",
    "announce": "ANNOUNCE",
    "becomes": "RANGE",
}


#: Roles of content: what has one of these is no mere joining word.
CONTENT = frozenset({"TEST", "SITE", "SIGN", "VALUE", "SIDE", "NOTDONE", "DENY", "DENIED"})


NAMES = {"TEST", "SITE", "SIGN"}


MARKS = {",": "COMMA", ":": "COLON", ";": "STOP", ".": "STOP", "!": "STOP", "?": "STOP"}


SIGNS = frozenset('()[]"“”*#-–=~_|…')


#: Kinds of senses that are weaker than any sense of the examination in the same word.
WEAK = frozenset({"MISC", "TALK", "OWN"})


VERBS = ("seek", "examine", "perceive", "show")


@dataclass(slots=True)
class Item:
    """A stretch of tokens (``start``, ``end``) and the roles that it may play."""

    start: int
    end: int
    text: str
    roles: tuple[str, ...]
    readings: tuple[Reading, ...] = ()
    grade: Grade | None = None
    verb: str = ""
    able: bool = False

    def of_kind(self, *kinds: str) -> tuple[Reading, ...]:
        """Its senses of some kinds."""
        return tuple(r for r in self.readings if r.kind in kinds)


@dataclass(slots=True)
class Lattice:
    """An utterance as items, with what is needed to point back at its words."""

    utterance: Utterance
    tokens: list[Token]
    items: list[Item]
    speaker: Speaker | None = None
    columns: Columns | None = None
    told: Told | None = None

    def text(self, start: int, end: int) -> str:
        """The words of some tokens as spoken."""
        return self.utterance.text[self.tokens[start].start : self.tokens[end - 1].end]


def replace_items(lattice: Lattice, items: list[Item]) -> Lattice:
    """The same utterance with some of its items."""
    return Lattice(
        lattice.utterance, lattice.tokens, items, lattice.speaker, lattice.columns, lattice.told
    )


def both(item: Item) -> bool:
    return any(r.kind in ("side", "trails") and r.id == "both" for r in item.readings)


def roles(readings: Sequence[Reading]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(ROLES.get(r.kind, "MISC") for r in readings))


@lru_cache(maxsize=1 << 14)
def folded(text: str) -> tuple[str, ...]:
    """The folded words of an item; the same few come again and again."""
    return norms(text)
