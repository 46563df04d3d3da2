"""Sentences of an utterance, and claims that belong together."""

from __future__ import annotations

import itertools

from dictate.model import OTHER_SIDE
from dictate.parse.categories import Claim, Name, Types
from dictate.parse.headings import is_heading
from dictate.parse.items import Item, Lattice
from dictate.parse.too import ends_with_too
from dictate.parse.undone import told_why

#: A list names so many things.
MOST_ONE = 2


def _limb_part(claim: Claim) -> bool:
    return any(r.kind == "limb_part" for item, _ in claim.details for r in item.readings)


def _shares_place(claim: Claim, after: Claim) -> None:
    """ "Four proximally and five distally in both legs": the limb at the end is that of both.

    Only where each of the two values is of a part of a limb, and the first one has no limb.
    """
    bare = claim.names and not any(n.sites or n.side for n in claim.names)
    placed = claim.places or claim.side or claim.pside or claim.sections or claim.unknown
    open_ = bare and not placed and claim.values and _limb_part(claim)
    limbs = after.places and all(any(r.group == "limb" for r in p.sites) for p in after.places)
    ends = after.link in ("and", "comma") and limbs and not after.names and after.values
    if open_ and ends and _limb_part(after):
        claim.places, claim.side = after.places, after.side


def _shares_name(claims: list[Claim]) -> None:
    """ "Four on the left, five on the right, that was hip flexion": of both."""
    for i, claim in enumerate(claims[1:], 1):
        row = claims[:i]
        names = (*claim.names, *claim.places)
        sides = {c.side or c.pside for c in row}
        late = claim.mode in ("V", "VN") and names
        bare = all(
            c.mode == "V"
            and c.values
            and not (c.places or c.unknown or c.doubts or c.fix or c.those)
            for c in row
        )
        joined = all(c.link in ("and", "comma", "next") for c in claims[1 : i + 1])
        own = claim.side or next((n.side for n in names if n.side), None)
        if not (late and bare and joined and own in OTHER_SIDE and sides <= {OTHER_SIDE[own]}):
            continue
        for c in row:
            c.names = tuple(_sideless(n) for n in names)
            c.mode = "VN"


def _topic(claims: list[Claim]) -> list[Claim]:
    """ "The right toe, no Babinski there": the side of what is named first."""
    out = list(claims)
    for claim, after in itertools.pairwise(claims):
        name = claim.names[0] if len(claim.names) == 1 else None
        plain = name is not None and claim.mode == "N" and not (claim.colon or claim.unknown)
        if name is None or not plain or name.side not in OTHER_SIDE or name.sign:
            continue
        own = [n.side for n in (*after.names, *after.places)] + [after.side, after.pside]
        same = any(n.tests & name.tests for n in after.names)
        if same and after.link == "comma" and after.values and not any(own):
            after.side = name.side
            out.remove(claim)
    return out


def _named_first(claims: list[Claim]) -> list[Claim]:
    """ "The knee jerks, I take that back, they were two plus": what is named."""
    first = claims[0] if claims else None
    fixes = [i for i, c in enumerate(claims) if c.fix]
    if first is None or first.values or first.fix or first.unknown or not fixes:
        return claims
    named = (first.names or first.places) and not any(n.sign for n in first.names)
    at = next((i for i, c in enumerate(claims) if i and c.values), 0)
    if not named or not at or claims[at].names or claims[at].places:
        return claims
    if any(c.names or c.places or c.values or not c.fix for c in claims[1:at]):
        return claims
    last = claims[at]
    last.names, last.places, last.fix = first.names, first.places, "replace"
    last.mode = "NV"
    last.start = min(first.start, last.start)
    return claims[at:]


def _enumerated(claims: list[Claim]) -> list[Claim]:
    """ "Five out of five in every group: deltoids, biceps": what is listed has the value."""
    out = list(claims)
    for claim, after in itertools.pairwise(claims):
        listed = claim.colon and claim.mode == "NV" and after.link == "comma" and after.mode == "N"
        if not listed or len(after.names) < MOST_ONE or after.unknown or claim.unknown:
            continue
        named = 0
        for name in claim.names:
            named |= name.tests
        names = []
        for name in after.names:
            twin = name.copy()
            twin.tests = twin.tests or named & twin.smask
            names.append(twin)
        if all(n.tests and not n.sign for n in names):
            after.names, after.values, after.mode = tuple(names), claim.values, "NV"
            after.side = after.side or claim.side
            out.remove(claim)
    return out


def _same_test(claim: Claim, before: Claim) -> bool:
    """Names a test once more, and nothing else."""
    tests = {n.tests for n in claim.names}
    bare = not (claim.places or claim.side or claim.pside or claim.details)
    return (
        bare
        and bool(tests)
        and not any(n.sites for n in claim.names)
        and (tests == {n.tests for n in before.names})
    )


def _sideless(name: Name) -> Name:
    twin = name.copy()
    twin.side, twin.both, twin.placed = None, False, False
    return twin


def _sided_colon(claims: list[Claim]) -> list[Claim]:
    """ "L: same", "the right: flexor": a side before a colon is that of what has no name."""
    out = list(claims)
    for claim, after in itertools.pairwise(claims):
        side = claim.side or claim.pside
        lone = not (claim.names or claim.places or claim.values or claim.unknown or claim.sections)
        bare = not (after.names or after.places or after.side or after.pside or after.unknown)
        if not (lone and bare and claim.colon and after.link == "colon" and side):
            continue
        if after.repeat or (after.values and claim is claims[0] and after is claims[-1]):
            after.side, after.link = side, "start"
            after.start = claim.start
            out.remove(claim)
    return out


def gathered(types: Types, claims: list[Claim]) -> list[Claim]:
    """Doubts and qualifiers by themselves belong to the claim before.

    A bare name that no value came to, and that no comma sets apart, is a word that the claim
    beside it leaves unexplained.
    """
    out: list[Claim] = []
    for claim in _sided_colon(told_why(claims)):
        if (
            out
            and claim.compare
            and not claim.values
            and not claim.names
            and not claim.places
            and claim.link != "stop"
        ):
            out[-1].compare += claim.compare
            continue
        both = claim.pside or claim.side
        if (
            both == "both"
            and not claim.names
            and not claim.places
            and not claim.values
            and not claim.unknown
            and out
        ):
            last = out[-1]
            if last.names and not last.side and not last.pside:
                last.side, last.side_placed = "both", True
                last.end = max(last.end, claim.end)
                continue
            if claim.details:  # "six over nine right, six over six left, both corrected"
                for one in out:
                    one.details += claim.details if one.values else ()
                continue
        bare = claim.empty and not (claim.unknown or claim.asides or claim.talk)
        if bare and out and out[-1].stop is False and not claim.compare:
            last = out[-1]
            last.doubts += claim.doubts
            last.degrees += claim.degrees
            last.details += claim.details
            last.end = max(last.end, claim.end)
            continue
        lone = bool(both) and not (claim.names or claim.places or claim.values or claim.repeat)
        denied = bool(out) and any(v.deny or v.negated for v in out[-1].values)
        if lone and denied and claim.link == "next" and not claim.colon:
            sides = {n.side for n in out[-1].names} | {out[-1].side} - {None}
            if both in OTHER_SIDE and OTHER_SIDE[both] in sides:
                out[-1].leftover = (*out[-1].leftover, (claim.start, claim.end))
        out.append(claim)
    out = _topic(_named_first(_enumerated(out)))
    _shares_name(out)
    for i, claim in enumerate(out[:-1]):
        after = out[i + 1]
        _shares_place(claim, after)
        heads = (
            out[0].heads
            and i
            and claim.side_placed
            and claim.side in ("right", "left")
            and after.link == "next"
        )
        if heads and after.names and not after.side and not after.pside and not after.names[0].side:
            name = after.names[
                0
            ].copy()  # "on the right ... five on the left deltoid five": it heads, as the first did
            name.side = claim.side
            after.names = (name, *after.names[1:])
            claim.side, claim.side_placed = None, False
    for i, claim in enumerate(out):
        alone = (
            i
            and claim.link == "next"
            and not out[i - 1].names
            and not out[i - 1].places
            and out[i - 1].values
        )
        if alone and claim.names and not claim.values:
            claim.leftover = (*claim.leftover, (out[i - 1].start, out[i - 1].end))
        nameless = not (
            (claim.names or claim.places)
            and not claim.values
            and not claim.colon
            and not claim.repeat
            and not claim.hesitant
        )
        if (
            nameless
            or claim.fix
            or claim.parts
            or claim.announced
            or all(n.sign for n in (claim.names or claim.places))
        ):
            continue
        span = (claim.start, claim.end)
        follows = out[i + 1] if i + 1 < len(out) else None
        if (
            follows is not None
            and follows.link == "next"
            and follows.values
            and not (follows.names or follows.places)
        ):
            claim.leftover = (
                *claim.leftover,
                (follows.start, follows.end),
            )  # "the right arm is numb"
        head = is_heading(types, claim, True)
        again = follows is None and claim.link == "next" and i and _same_test(claim, out[i - 1])
        if again and out[i - 1].values:
            out[i - 1].leftover = (*out[i - 1].leftover, span)  # "pinprick sharp sharp dull"
        if follows is not None and follows.link == "next" and not head and follows.values:
            follows.leftover = (*follows.leftover, span)
        listed = len(claim.names) > 1 and i and out[i - 1].mode == "VN"
        ends = follows is None and not listed  # "five shoulders elbows and wrists": of all of them?
        if i and claim.link == "next" and out[i - 1].values and not head and not ends:
            out[i - 1].leftover = (*out[i - 1].leftover, span)
    return out


def sentences(lattice: Lattice) -> list[list[Item]]:
    """The items of each sentence, cut at full stops and line ends."""
    out: list[list[Item]] = []
    row: list[Item] = []
    text, tokens = lattice.utterance.text, lattice.tokens
    for item in lattice.items:
        if (
            row
            and item.start
            and "\n" in text[tokens[item.start - 1].end : tokens[item.start].start]
        ):
            out.append(row)
            row = []
        if item.roles[0] == "STOP" or (item.roles[0] == "COMMA" and ends_with_too(row)):
            if item.text == "?" and row:
                row.append(item)
            if row:
                out.append(row)
            row = []
        else:
            row.append(item)
    if row:
        out.append(row)
    return out
