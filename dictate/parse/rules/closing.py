"""What it costs to let a claim end, and the claim that follows it."""

from __future__ import annotations

from dictate.model import OTHER_SIDE
from dictate.parse.categories import Claim, Types
from dictate.parse.rules.building import limb

#: What every claim begins as; a copy costs a fifth of a new one.
BLANK = Claim()


def shares(types: Types, claim: Claim) -> float:
    """How many of a claim's names and values fit nothing beside them."""
    odd = 0.0
    named = 0
    for name in claim.names:
        named |= name.tests
    places = types.all
    if claim.places:
        places = 0
        for place in claim.places:
            places |= place.mask(types)
    whole = 0
    for name in claim.names:
        mask = name.mask(types) if name.tests or not named else name.mask(types) & named
        if not mask:
            mask = name.mask(types)
            if named & types.siteless and limb(name) and (name.side or name.both):
                mask = named & types.siteless  # "no LUE or RUE drift"
            else:
                odd += 1
        if claim.places and not types.lifted(mask) & places:
            bare = not name.sites and bool(name.tests & ~types.siteless)
            odd += (0.4 if name.sign else 0.1) * bare  # "weakness of the lower face": no strength
        if (
            name.kinds
            and not name.sites
            and not claim.places
            and all(r.kind == "after_site" and not r.plural for r in name.kinds)
        ):
            odd += 0.3
        ok = mask
        for val in claim.values:
            word = val.item.readings if val.item is not None and val.item.grade is None else ()
            plain = bool(name.sign) and not name.side
            yes_no = plain and any(r.id in ("present", "absent") and not r.test for r in word)
            free = val.notdone or val.deny or val.alike or yes_no
            if not free and not mask & val.mask:
                odd += 1
            elif (
                claim.mode == "NV"
                and val.item is not None
                and val.item.grade is None
                and any(r.kind == "sign" for r in name.sign)
            ) and not any(r.id in ("present", "absent") for r in val.item.readings):
                odd += 0.5
        whole |= ok
    return odd


def close_cost(types: Types, claim: Claim, w: dict[str, float]) -> float:
    """What it costs to let a claim end here."""
    cost = w["dangling"] * (bool(claim.pneg) + (claim.sep == "range"))
    if claim.pside and claim.mode != "S":
        other = any(x.side not in (None, claim.pside) for x in (*claim.names, *claim.places))
        cost += w["side left over"] + (w["two sides"] if claim.side or other else 0.0)
    if claim.mode == "S":
        if claim.pneg and claim.pside:
            cost += w["denied again"] - w["dangling"]
        marked = claim.sep == "comma" or claim.colon
        return cost + (w["lone side marked" if marked else "lone side"] if claim.pside else 0.0)
    if claim.mode == "N":
        if claim.colon or claim.hesitant or claim.repeat or claim.sections or claim.fix:
            return cost + w["heading with a colon"]
        sign = bool(claim.names) and all(
            name.sign
            or (
                not name.tests
                and name.sites
                and not name.smask & ~types.named
                and all(r.test for r in name.sites)
            )
            for name in claim.names
        )
        if sign:
            return cost + w["a sign says itself"] + w["type mismatch"] * shares(types, claim)
        head = all(
            (name.tests & (types.headable | types.general | types.summary))
            or (not name.tests and any(r.group == "limb" for r in name.sites))
            for name in claim.names
        )
        alone = claim.link == "start"
        return cost + (w["heading"] if head else w["no value"]) - (w["opens"] if alone else 0.0)
    if claim.strange and not claim.names:
        return cost + w["strange denied"]
    if claim.mode == "V" or not claim.names:
        has_before = claim.prev is not None and named_before(claim) is not None
        deny = any(v.deny for v in claim.values)
        if claim.link == "waits" or claim.fix or claim.those:
            return cost + w["waits"]
        if _strange_name(claim):
            return cost + w["strange name"]
        cost += w["ellipsis"] if has_before else w["no name"]
        if has_before and claim.side in OTHER_SIDE and claim.link in ("next", "comma", "and"):
            before = named_before(claim)
            if before is not None and before.values and not _sided(before):
                cost += w["one side alone"]  # "finger tapping slow, left normal"
        if not has_before and any(p.smask & v.mask for p in claim.places for v in claim.values):
            cost -= w["names by place"]
        toward = any(r.kind == "direction" for it, _ in claim.details for r in it.readings)
        if claim.places or claim.side or claim.pside or claim.rest or toward:
            cost -= w["ellipsis placed"]
        # "oriented to person, not to time": a place of what was named is denied
        of_before = has_before and bool(claim.places)
        return cost + (w["dangling"] if deny and not of_before else 0.0)
    if _sideless(types, claim):
        cost += w["no side"]
    return cost + w["type mismatch"] * shares(types, claim)


def _sided(claim: Claim) -> bool:
    names = (*claim.names, *claim.places)
    return bool(claim.side or claim.pside) or any(x.side or x.both for x in names)


def _sideless(types: Types, claim: Claim) -> bool:
    """A paired site with a value, and no side."""
    if claim.side or claim.pside:
        return False
    names = (*claim.names, *claim.places)
    return any(x.sites for x in names) and not any(x.side or x.both for x in names)


def _strange_name(claim: Claim) -> bool:
    """A word that nobody knows, and then its value."""
    first = min((v.span[0] for v in claim.values), default=0)
    return bool(claim.unknown) and claim.unknown[0][0] < first and not claim.places


def named_before(claim: Claim) -> Claim | None:
    prev = claim.prev
    while prev is not None:
        if prev.names or prev.places:
            return prev
        if prev.unknown or prev.stop:
            return None
        prev = prev.prev
    return None


def follow(types: Types, claim: Claim, w: dict[str, float]) -> Claim:
    """A new claim after this one, which ends."""
    bare = claim.empty and not claim.unknown and not claim.asides and not claim.talk
    if bare and (claim.start < 0 or not claim.sep):
        return claim.copy()
    new = BLANK.copy()
    new.held = claim.held
    new.cost = (
        claim.cost + close_cost(types, claim, w) + (w["dangling place"] if claim.pprep else 0.0)
    )
    new.prev = claim
    sep = claim.sep
    if claim.last == "strange" and not sep and claim.strange:
        new.unknown = claim.strange[-1:]
    new.link = "and" if "and" in sep else "comma" if sep == "comma" else "next"
    new.order = sep
    return new
