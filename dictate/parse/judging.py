"""What the claims of a sentence are to each other and to the sentence before."""

from __future__ import annotations

from dictate.parse.amending import value_of
from dictate.parse.categories import Claim
from dictate.parse.items import Item
from dictate.parse.repeats import Repeats


class Judging(Repeats):
    """Judges claims before they are stated."""

    def _beside_talk(self, claims: list[Claim]) -> list[Claim]:
        """After talk: complete claims, and those that go on with one by a side of their own."""
        out: list[Claim] = []
        for claim in claims:
            first = min((s for n in claim.names for s in n.spans), default=(0, 0))
            if claim.unknown and all(b <= first[0] for _, b in claim.unknown):
                claim = claim.copy()
                claim.unknown = ()  # the end of what was said to the patient
            goes_on = bool(out) and claim.prev is not None and out[-1].end == claim.prev.end
            more = goes_on and claim.values and not claim.unknown and not claim.names
            if self._stands_alone(claim) or (more and (claim.side or claim.pside)):
                out.append(claim)
            elif out and goes_on and claim.link == "next" and claim.values:
                last = out[-1]  # a value that is left over may be that of what was kept
                last.leftover = (*last.leftover, (claim.start, claim.end))
        return out

    def _stands_alone(self, claim: Claim) -> bool:
        """After talk only a complete claim counts: a name with its value and nothing unknown."""
        named = bool(claim.names) and (bool(claim.values) or all(n.sign for n in claim.names))
        own = any(n.tests for n in claim.names) or any(
            v.item and v.item.grade for v in claim.values
        )
        return named and own and not claim.unknown and not claim.talk

    def _test_of_list(self, claims: list[Claim]) -> str | None:
        """ "Biceps two plus, knee two plus": one of the list can only be of one test."""
        masks = []
        for claim in claims:
            grades = [v for v in claim.values if v.item is not None and v.item.grade is not None]
            for name in (*claim.names, *claim.places):
                if name.tests or not name.sites or not grades or claim.unknown:
                    return None
                masks.append(name.smask & grades[0].mask & self.types.graded)
        both_ = self.types.all
        for mask in masks:
            both_ &= mask
        tests = self.types.names(both_) if len(masks) > 1 else []
        return tests[0] if len(tests) == 1 and both_ in masks else None

    def _speaks_on(self, items: list[Item], claim: Claim) -> bool:
        """ "The left is sluggish", "they are reactive": a sentence goes on with the one before."""
        if claim.names or claim.places or claim.unknown or claim.fix or claim.rest or claim.parts:
            return False
        if claim.pneg is not None and not claim.values and (claim.side or claim.pside):
            return True  # "Left drifts. Right doesn't."
        if (
            claim.repeat
            or claim.those
            or not claim.values
            or (any(v.notdone for v in claim.values) and not (claim.side or claim.pside))
        ):
            return False
        opens = {r.kind for it in items[:3] for r in it.readings}
        return bool(claim.side or claim.pside) or bool(opens & {"pronoun", "definite"})

    def _mends_on(self, claim: Claim) -> bool:
        """After a correction of what is named, another of a site that was found as well."""
        plain = not (claim.fix or claim.rest or claim.unknown or claim.doubts or claim.places)
        sided = claim.side or claim.pside or any(n.side or n.both for n in claim.names)
        joined = claim.link in ("comma", "and", "next")
        if not (self.fixing and plain and joined and claim.names and claim.values) or sided:
            return False
        found = {e.finding.site for e in self.s.entries if e.finding.side}
        return all(any(r.id in found for r in n.sites) for n in claim.names)

    def _not_that_value(self, one: Claim, other: Claim) -> bool:
        """ "That's a four, not a three plus": the last finding had the second value."""
        bare = not any(c.names or c.places or c.unknown or c.doubts or c.fix for c in (one, other))
        if not bare or len(one.values) != 1 or len(other.values) != 1 or not self.s.entries:
            return False
        new, old = one.values[0], other.values[0]
        plain = old.copy()
        plain.negated = False
        last = self.s.entries[-1].utterance
        same = any(
            value_of(self, e.finding, plain) == e.finding.value
            for e in self.s.entries
            if e.utterance == last
        )
        one.wrong = plain if same else None
        return old.negated and not new.negated and same

    def _may_fill(self) -> bool:
        """Nothing was said since the name that waits for its value."""
        now = len(self.s.utterances)
        return not self.heard or any(
            o.question.id == self.waited and o.utterance == now for o in self.s.open
        )

    def _other_sign_denied(self, claim: Claim) -> bool:
        """ "Speech is dysarthric, not aphasic": what it is not, beside what it is."""
        denied = claim.values and all(v.deny for v in claim.values)
        if not denied or len(claim.names) != 1 or not claim.names[0].sign or claim.places:
            return False
        name = claim.names[0]
        now = len(self.s.utterances)
        said = [e.finding for e in self.s.entries if e.utterance == now]
        return any(
            self.types.bit[f.test] & name.tests
            and f.normal is False
            and f.value not in {r.id for r in name.sign if r.test == f.test}
            and name.side in (None, f.side)
            for f in said
        )
