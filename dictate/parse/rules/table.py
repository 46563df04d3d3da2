"""The composition rules, as a table: in this mode, an item of this role may do that, at this cost.

A rule is general: it looks at modes, roles and types, never at a word, a test or a sentence. Its
cost is a weight by its own name (``weights.yaml``). To add one: write a function
``(types, claim, item, role) -> claim or None`` in a module beside this one, and one line here;
``dictate explain`` shows where it was used.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from dictate.parse.categories import Claim, Types
from dictate.parse.items import Item
from dictate.parse.rules import names, places, refining, sides, values, words

Do = Callable[[Types, Claim, Item, str], Claim | None]


@dataclass(frozen=True, slots=True)
class Rule:
    """``modes`` and ``roles`` in which it may be used, what it does, and its name."""

    name: str
    modes: str
    roles: str
    do: Do


#: Rules on the claim as it stands. The other table, FRESH, is for what may begin a new claim.
RULES: tuple[Rule, ...] = (
    Rule("name opens", "S", "TEST SITE SIGN", names.name_first),
    Rule("names join", "N VN", "TEST SITE SIGN", names.name_joins),
    Rule("test completes", "NV", "TEST", names.test_completes),
    Rule("names apart", "N", "TEST SITE", names.name_apart),
    Rule("limb and part", "N", "SITE", names.site_narrows),
    Rule("names listed", "N VN", "TEST SITE SIGN", names.name_lists),
    Rule("names run on", "N", "TEST SITE", names.names_run_on),
    Rule("names run on", "VN", "SITE", names.names_run_on),
    Rule("range of sites", "N V VN NV", "SITE", places.name_ranges),
    Rule("value, then name", "V", "TEST SITE SIGN", names.name_after_value),
    Rule("place", "N VN NV", "SITE", places.place_attaches),
    Rule("place", "V", "SITE", places.place_attaches),
    Rule("all of it", "N NV VN", "SITE", places.all_of_it),
    Rule("all narrowed", "N V VN NV", "SITE", places.all_narrowed),
    Rule("seen", "N V VN NV", "SEEN", words.stays),
    Rule("announced", "N", "ANNOUNCE", words.announces),
    Rule("no meaning", "S V VN NV", "ANNOUNCE", words.stays),
    Rule("place of its sign", "N VN", "SITE", places.place_of_sign),
    Rule("place of the side", "N VN NV", "SITE", places.place_of_side),
    Rule("place unmarked", "NV VN", "SITE", places.place_unmarked),
    Rule("strange in a list", "S N VN", "UNKNOWN", refining.strange_in_list),
    Rule("uneven", "N NV VN", "UNEVEN", sides.uneven),
    Rule("uneven alone", "S", "UNEVEN", words.waits("compare")),
    Rule("places listed", "N V VN NV", "SITE", places.place_lists),
    Rule("place, then test", "N", "TEST SIGN", places.test_at_place),
    Rule("place, then part", "N", "SITE", places.site_at_place),
    Rule("modality", "N VN NV", "TEST SIGN", refining.test_refines),
    Rule("value opens", "S", "VALUE TROUBLE ALIKE", values.value_first),
    Rule("value of names", "N", "VALUE TROUBLE ALIKE", values.value_of_names),
    Rule("value denied", "VN", "VALUE TROUBLE", values.value_denied),
    Rule("denied too", "VN", "VALUE SIGN", values.denied_too),
    Rule("another value", "V NV", "VALUE TROUBLE", values.value_more),
    Rule("alike, then value", "VN", "VALUE", values.value_new),
    Rule("both alike", "NV VN V", "ALIKE", values.alike_trails),
    Rule("denial", "S N V", "DENY", values.denial),
    Rule("denial again", "VN", "DENY", values.denial_again),
    Rule("denied after", "N", "DENIED", values.denied_names),
    Rule("not done", "S N", "NOTDONE", values.not_done),
    Rule("reason", "V N VN NV", "REASON", values.reason),
    Rule("side waits", "S N V", "SIDE", sides.side_waits),
    Rule("both of two", "N", "SIDE", refining.both_of_two),
    Rule("one is no number", "S N VN NV", "ONE", words.stays),
    Rule("side heads", "S", "SIDE", sides.side_heads),
    Rule("side waits", "NV VN", "SIDE", sides.side_waits_placed),
    Rule("side trails", "N V VN NV", "SIDE", sides.side_trails),
    Rule("degree", "S N V VN NV", "DEGREE", words.waits("degrees")),
    Rule("doubt", "S N V VN NV", "DOUBT", words.waits("doubts")),
    Rule("comparison", "S N V VN NV", "COMPARE", words.waits("compare")),
    Rule("detail", "S N V VN NV", "DETAIL", words.detail),
    Rule("unknown", "S N V VN NV", "UNKNOWN", words.waits("unknown")),
    Rule("aside", "S N V VN NV", "ASIDE", words.waits("asides")),
    Rule("talk", "S N V VN NV", "TALK OWN", words.waits("talk")),
    Rule("part", "S N NV V", "PART", values.part),
    Rule("points of a part", "NV V", "VALUE", values.part_value),
    Rule("word of place", "S N V VN NV", "PREP EDGE", places.prep),
    Rule("range", "N V VN NV", "RANGE", places.ranges),
    Rule("the rest", "S N V VN NV", "REST", words.rest),
    Rule("repeat", "S N", "REPEAT", words.repeat),
    Rule("there", "S N V VN NV", "THERE", words.there),
    Rule("no meaning", "S N V VN NV", "THERE", words.stays),
    Rule("those", "S N V NV", "THOSE", words.those),
    Rule("section", "S N", "SECTION", words.section),
    Rule("correction", "S", "REPLACE TAKEBACK SWAP", words.fix),
    Rule("exception", "S", "EXCEPT BUT", words.exception),
    Rule("helper", "S N V VN NV", "HELPER", words.stays),
    Rule("filler", "S N V VN NV", "FILLER", words.filler),
    Rule("no meaning", "S N V VN NV", "MISC CUE", words.stays),
    Rule("hesitation", "S N V VN NV", "HESITATION", words.hesitates),
)
#: Roles that may begin a new claim where one is open.
FRESH = frozenset(
    [
        "TEST",
        "SITE",
        "SIGN",
        "VALUE",
        "TROUBLE",
        "ALIKE",
        "DENY",
        "NOTDONE",
        "SIDE",
        "DEGREE",
        "DOUBT",
        "DETAIL",
        "UNKNOWN",
        "ASIDE",
        "TALK",
        "OWN",
        "REST",
        "REPEAT",
        "THOSE",
        "SECTION",
        "UNEVEN",
        "REPLACE",
        "TAKEBACK",
        "SWAP",
        "EXCEPT",
        "BUT",
        "PREP",
        "EDGE",
        "PART",
    ]
)


@lru_cache(maxsize=1)
def table() -> dict[tuple[str, str], tuple[Rule, ...]]:
    """The rules by mode and role."""
    found: dict[tuple[str, str], tuple[Rule, ...]] = {}
    for rule in RULES:
        for mode in rule.modes.split():
            for role in rule.roles.split():
                found[mode, role] = (*found.get((mode, role), ()), rule)
    return found
