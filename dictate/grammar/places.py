"""Where findings are, in words: "in the deltoids bilaterally and in the right triceps"."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from dictate.grammar.load import Grammar
from dictate.grammar.names import (
    NOT_DONE,
    WHOLE,
    is_grade,
    listed,
    normal_word,
    site_words,
    takes_article,
)
from dictate.model import Finding, Side

#: How the sides of a site are put; the order is that of the note.
PATTERNS = ("whole", "unsided", "both", "right", "left")


@dataclass(frozen=True, slots=True)
class Spot:
    """One place: a site (or none), a side (or none), and the name the site was called by."""

    site: str | None
    side: Side | None = None
    said: str | None = None


def spot_of(finding: Finding) -> Spot:
    """Where a finding is."""
    return Spot(finding.site, finding.side, finding.site_said)


def seen(grammar: Grammar, test: str, spot: Spot, value: str) -> Spot:
    """The place as it is written of a value.

    The site for the whole is written ("throughout") of grades and of abnormal values; not of a
    normal word nor of a test not done, since "tone normal" is not "tone normal throughout", and
    not where that site only means that no part was said.
    """
    spec = grammar.tests[test]
    word = normal_word(spec, value) or value in NOT_DONE
    written = is_grade(grammar, test, value) or not word
    if spot.site != WHOLE or (written and spec.site_not_said != WHOLE):
        return spot
    return Spot(None, spot.side)


def place_words(grammar: Grammar, test: str, spots: Iterable[Spot], preposition: str = "in") -> str:
    """All places in one phrase.

    Args:
        grammar: Where the names come from.
        test: Id of the test.
        spots: The places, in any order.
        preposition: "in" or "at".

    Returns:
        The phrase; empty where there is neither site nor side. After something said of no place it
        opens with a comma (", also on the right").
    """
    found = by_pattern(grammar, test, spots)
    whole = found.pop("whole", [])
    phrases = [_phrase(grammar, test, key, here, preposition) for key, here in found.items()]
    rest = listed([phrase for phrase in phrases if phrase])
    # what was said of both sides says all that was said without a side
    both = any(spot.site is None for spot in found.get("both", []))
    blank = not both and any(spot.site is None for spot in found.get("unsided", []))
    if whole:
        return f"throughout, including {rest}" if rest else "throughout"
    return f", also {rest}" if rest and blank else rest


def by_pattern(grammar: Grammar, test: str, spots: Iterable[Spot]) -> dict[str, list[Spot]]:
    """Sort places by how their sides are put; sites in the order of the grammar.

    Returns:
        Pattern (one of PATTERNS) to places; a place under "both" stands for right and left.
    """
    sides: dict[tuple[str | None, str | None], set[Side | None]] = {}
    for spot in spots:
        sides.setdefault((spot.site, spot.said), set()).add(spot.side)
    order = list(grammar.sites_of(test))
    keys = sorted(sides, key=lambda key: order.index(key[0]) if key[0] in order else -1)
    found: dict[str, list[Spot]] = {pattern: [] for pattern in PATTERNS}
    for site, said in keys:
        here = sides[site, said]
        if None in here:
            found["whole" if site == WHOLE else "unsided"].append(Spot(site, None, said))
        if {"right", "left"} <= here:
            found["both"].append(Spot(site, None, said))
        elif "right" in here:
            found["right"].append(Spot(site, "right", said))
        elif "left" in here:
            found["left"].append(Spot(site, "left", said))
    return {pattern: here for pattern, here in found.items() if here}


def names_of(grammar: Grammar, test: str, spots: Sequence[Spot], plural: bool = False) -> str:
    """The names of sites as a list; a last word that all share is written once."""
    named = [spot for spot in spots if spot.site not in (None, WHOLE)]
    names = [site_words(grammar, test, str(s.site), s.said, plural) for s in named]
    shared = {name.rsplit(" ", 1)[-1] for name in names}
    if len(names) < 2 or len(shared) > 1 or any(" " not in name for name in names):
        return listed(names)
    ends = {site_words(grammar, test, str(s.site), None, True).rsplit(" ", 1)[-1] for s in named}
    if len(ends) > 1 or any(spot.said for spot in named):
        return listed(names)
    return f"{listed([name.rsplit(' ', 1)[0] for name in names])} {ends.pop()}"


def _phrase(
    grammar: Grammar, test: str, pattern: str, spots: Sequence[Spot], preposition: str
) -> str:
    """One phrase for places that have the same sides."""
    siteless = [spot for spot in spots if spot.site in (None, WHOLE)]
    named = [spot for spot in spots if spot.site not in (None, WHOLE)]
    ends = {"both": "bilaterally", "right": "on the right", "left": "on the left"}
    end = ends.get(pattern, "")
    phrases = [end] if siteless and end else []
    if named:
        names = names_of(grammar, test, named, plural=pattern == "both")
        articles = [takes_article(grammar, test, str(s.site), s.said) for s in named]
        words = [preposition, *(["the"] if all(articles) else [])]
        capitals = any(not any(map(str.islower, name)) for name in names.split())
        if pattern in ("right", "left") and (all(articles) or not capitals):
            words += [pattern, names]
        else:
            words += [names, end]
        phrases.append(" ".join(word for word in words if word))
    return listed(phrases)
