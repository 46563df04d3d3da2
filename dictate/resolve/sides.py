"""Which sides a finding is of: said with it, carried by its list, or held by a heading."""

from __future__ import annotations

from collections.abc import Sequence

from dictate.interpret.statement import Statement
from dictate.model import OTHER_SIDE, Place
from dictate.resolve.between import ASK
from dictate.resolve.context import Holds
from dictate.resolve.fit import NOT_DONE, is_normal, side_rule
from dictate.resolve.targets import Combo
from dictate.resolve.values import Values


class Sides(Values):
    """Finds the sides of a statement by one grammar."""

    def _sides(
        self, st: Statement, combo: Combo, test: str, site: str | None, value: str,
        holds: Holds, given: dict[str, str], utterance: str,
    ) -> tuple[list[str | None] | None, list[Place]]:  # fmt: skip
        rule = side_rule(self.grammar, test, site, value)
        normal = is_normal(self.grammar, test, value)
        if rule == "none":
            return [None], []
        said = (
            given.get("side")
            or combo.target.side
            or next((m.side for m in combo.more if m and m.side), None)
            or st.side
        )
        if said == "other":
            said = None
        if said is None and st.both_compared and (st.values or combo.signs):
            said = "both"
        whole = site is not None and self._unsided(test, site)
        if said == "both":
            undivided = whole and self.grammar.sites_of(test)[site or ""].side is None
            return ([None] if undivided else ["right", "left"]), []
        if said is not None:
            return [said], []
        needed = rule == "needed" or (rule == "abnormal" and not self._healthy(value, normal))
        heads = holds.side is not None and not (holds.item_side or holds.side.told or combo.site)
        if whole and rule != "abnormal" and not (heads and given.get("site") is None):
            return [None], []
        plural = self._plural(combo, test)
        undone = value in NOT_DONE and self.grammar.tests[test].side == "needed" and combo.site
        part = (
            self.grammar.sites_of(test)[site].part_of if site in self.grammar.sites_of(test) else ()
        )
        carried = combo.target.carried
        if plural and carried and any(r.id in part for t in st.targets for r in t.sites if t.side):
            return (["right", "left"] if carried == "both" else [carried]), []  # "foot and toes"
        listed = combo.site is not None and not (combo.site.plural or combo.target.side)
        if plural and listed and carried in OTHER_SIDE:
            return [carried], []  # "right biceps and triceps jerks": the plural is of the list
        if plural and (rule in {"needed", "abnormal"} or undone):
            return self._of_plural(st, combo, part, holds, utterance)
        if needed and combo.target.carried in {"right", "left", "both"}:
            side = combo.target.carried
            return (["right", "left"] if side == "both" else [side]), []
        if needed and st.list_side == ASK:
            return None, []
        if needed and st.list_side:
            return (["right", "left"] if st.list_side == "both" else [st.list_side]), []
        if st.list_closed and st.list_side == "both" and not whole:
            return ["right", "left"], []  # "finger nose good, heel shin good, both sides"
        if st.both_after and rule == "needed":
            return ["right", "left"], []
        area = holds.item_side.area if holds.item_side else ""
        other = bool(area) and area != self.grammar.area_of(test).area
        sign_denied = bool(combo.signs) and st.denied and value == self.grammar.tests[test].denied
        at_limb = site is not None and not (whole or combo.site)
        both_held = holds.item_side is not None and holds.item_side.id == "both"
        if both_held and sign_denied and not at_limb:
            return [None], []  # "clonus at both ankles, no Babinski"
        if holds.item_side is not None and needed and not other:
            both = holds.item_side.id == "both"
            return (["right", "left"] if both else [holds.item_side.id]), [holds.item_side.place]
        if holds.side is not None and not holds.item_side and (not whole or heads):
            both = holds.side.id == "both"
            sides: list[str | None] = [None] if whole else ["right", "left"]
            return (sides if both else [holds.side.id]), [holds.side.place]
        if st.symmetric and needed:
            return ["right", "left"], []
        general = site is None or whole  # "no weakness of the thumb" is of one thumb
        if needed and combo.signs and st.denied and general:
            return [None], []
        responses = any(sign.response for sign in combo.signs)
        if needed and combo.signs and not responses and value == self.grammar.tests[test].denied:
            return [None], []
        return (None if needed else [None]), []

    @staticmethod
    def _of_plural(
        st: Statement, combo: Combo, part: Sequence[str], holds: Holds, utterance: str
    ) -> tuple[list[str | None] | None, list[Place]]:
        """A plural is of both sides, but "on the left: toes down" is of the toes of that foot.

        Where the side may not be of it (the heading was said in an earlier utterance, a limb was
        named that this is no part of, or this is a pair of limbs) it is asked.
        """
        limb = holds.item_site if holds.item_side else holds.site
        limb = None if limb is not None and limb.part else limb
        held = holds.item_side if holds.item_side and limb else holds.side
        if held is None or held.id == "both" or st.both_after or st.symmetric:
            return ["right", "left"], []
        limbs = combo.site is not None and combo.site.group == "limb"
        if (limbs and limb) or (holds.item_side and not limb):
            return ["right", "left"], []  # "right arm: tone normal, legs normal"
        elsewhere = limb is not None and limb.id not in part
        if limbs or elsewhere or held.place.utterance != utterance:
            return None, []
        return [held.id], [held.place]

    def _unsided(self, test: str, site: str) -> bool:
        entry = self.grammar.sites_of(test).get(site)
        return entry is not None and entry.unsided

    def _healthy(self, value: str, normal: bool | None) -> bool:
        return normal is not False and (normal or value == "absent" or value in NOT_DONE)

    def _plural(self, combo: Combo, test: str) -> bool:
        if combo.site is not None:
            # "biceps and triceps reflexes": said after the list, the plural is that of each
            listed = any(
                r.plural and r.kind == "after_site" and min(m.spans) > min(combo.target.spans)
                for m in combo.more
                for r in m.tests
            )
            return combo.site.plural or combo.target.both or listed
        tests = [*combo.target.tests, *(r for m in combo.more if m for r in m.tests)]
        return any(r.plural and r.test == test and r.kind == "test" for r in tests)
