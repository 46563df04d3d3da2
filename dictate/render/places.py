"""Where findings are, in words: "in the right deltoid and biceps, and in the left triceps"."""

from __future__ import annotations

from dictate.grammar import Grammar
from dictate.grammar.wording import WHOLE, bare, says_whole, site_words
from dictate.model import Side
from dictate.render.grouping import Spot

Sides = tuple[Side, ...]


def joined(parts: list[str], last: str = "and") -> str:
    """Words as a list: "a", "a and b", "a, b and c"."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {last} {parts[-1]}"


def side_words(sides: Sides) -> str:
    """ "on the right", "on the left", "bilaterally" or nothing."""
    if len(sides) == 2:
        return "bilaterally"
    return f"on the {sides[0]}" if sides else ""


def places(
    grammar: Grammar, test: str, spots: tuple[Spot, ...], preposition: str, whole: bool
) -> str:
    """Name every spot once.

    Args:
        grammar: Where the names come from.
        test: The test that the spots belong to.
        spots: In the order in which they are to be named.
        preposition: "in" or "at".
        whole: Whether the whole is named ("throughout").
    """
    wide = [spot for spot in spots if spot.site in (None, WHOLE)]
    named = [spot for spot in spots if spot.site not in (None, WHOLE)]
    first = joined([words for spot in wide if (words := _wide(grammar, test, spot, whole))])
    rest = _named(grammar, test, named, preposition)
    if wide and rest:
        return f"{first}, including {rest}"
    return first or rest


def _wide(grammar: Grammar, test: str, spot: Spot, whole: bool) -> str:
    if spot.sides:
        return side_words(spot.sides)
    return "throughout" if whole and spot.site == WHOLE and says_whole(grammar, test) else ""


def _named(grammar: Grammar, test: str, spots: list[Spot], preposition: str) -> str:
    """Spots of the same sides share one preposition, so that no side word can be read too far."""
    shared: dict[tuple[Sides, bool], list[str]] = {}
    for spot in spots:
        name = spot_name(grammar, test, spot)
        shared.setdefault((spot.sides, bare(name)), []).append(name)
    parts = []
    for (sides, no_article), names in shared.items():
        if no_article or len(sides) != 1:
            article = [] if no_article else ["the"]
            words = [preposition, *article, joined(names), side_words(sides)]
        else:
            words = [preposition, "the", sides[0], joined(names)]
        parts.append(" ".join(word for word in words if word))
    return ", and ".join(parts) if len(parts) < 3 else f"{', '.join(parts[:-1])}, and {parts[-1]}"


def spot_name(grammar: Grammar, test: str, spot: Spot) -> str:
    """The name of one spot, in the plural where both sides are meant."""
    if spot.site is None:
        return ""
    return site_words(grammar, test, spot.site, spot.said, plural=len(spot.sides) == 2)
