"""A limb and a finer place in it: the finer one is the place, the limb says the side."""

from __future__ import annotations

from dictate.interpret.statement import Statement, Target


def limb_of_test(piece: Statement) -> None:
    """ "Vibration in the legs absent at the toes": the toes are the place, and not the legs too.

    Args:
        piece: A piece of a sentence; its targets are changed.
    """
    limbs = [target for target in piece.targets if _limb(target)]
    if len(limbs) != 1 or not (piece.values or piece.denied):
        return
    limb, at = limbs[0], piece.targets.index(limbs[0])
    before, after = piece.targets[:at], piece.targets[at + 1 :]
    plain = not (limb.signs or limb.dual or limb.edge) and bool(limb.tests or before or limb.placed)
    names = all(target.tests and not target.sites for target in before)
    if not (limb.whole and plain and names and after and all(_finer(target) for target in after)):
        return
    side = limb.side or ("both" if any(r.plural for r in limb.sites) else None)
    for target in after:
        target.side = target.side or side
    if limb.tests:
        limb.sites, limb.side, limb.both = [], None, False
    else:
        piece.targets.remove(limb)
        after[0].spans[:0] = limb.spans


def _limb(target: Target) -> bool:
    return target.on_limb and not target.edge


def _finer(target: Target) -> bool:
    """A placed site or an edge that is no limb itself."""
    named = target.sites and (target.dual or not (target.tests or target.signs))
    return bool(named and (target.placed or target.edge) and not _limb(target))
