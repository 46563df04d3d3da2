"""What a denial says of a test, and what a word of its own does."""

from __future__ import annotations

from dictate.grammar.names import NOT_DONE
from dictate.interpret.denials import FELT
from dictate.parse.categories import Claim, Val
from dictate.parse.items import Lattice
from dictate.parse.targets import Target, Targets


class Denying(Targets):
    """What is denied, and what could not be done."""

    def _own_word(self, test: str, val: Val) -> str | None:
        """ "Not seen" said of a test that has it as a value of its own."""
        if val.item is None:
            return None
        for name, value in self.grammar.tests[test].values.items():
            if val.item.text in value.spoken:
                return name
        return None

    def _undone(self, test: str, val: Val, claim: Claim) -> str:
        """ "Cannot smile": what the patient could not do is a finding; what nobody tried is not."""
        spec = self.grammar.tests[test]
        words = set((val.item.text if val.item else "").split())
        tried = val.item is not None and (val.item.verb or words & self._examining)
        said = next((name for name, value in spec.values.items() if value.could_not), None)
        if said is not None and val.notdone == "unable" and not tried and not claim.reasons:
            return said
        return val.notdone

    def _kept_from(self, test: str, value: str, val: Val, claim: Claim) -> str:
        """ "Not obtainable because of the oedema": looking was not possible."""
        words = (val.item.text if val.item else "").split()
        denied = val.negated or bool(
            words and (set(words) & self._denying or words[0] in self._negative)
        )
        denied = denied or any(" ".join(words).endswith(f) for f in self._not_got)
        return (
            "unable" if value == "absent" and denied and claim.reasons and claim.why_not else value
        )

    def _movement(self, test: str, value: str | None) -> bool:
        """What a denial gives is itself a movement ("does not go up" is not "goes down")."""
        spec = self.grammar.tests[test]
        plain = {"normal", "absent", "negative", "impaired", "abnormal"}
        return (
            value == spec.denied
            and value not in plain
            and len(spec.values.keys() - NOT_DONE.keys()) > 2
        )

    def _denied(self, test: str, sign: str | None, placed: bool) -> str | None:
        """What denying a test's name or sign says."""
        spec = self.grammar.tests[test]
        if sign is not None and sign in spec.values:
            if spec.denied and spec.denied != sign and spec.values[sign].normal is not True:
                return spec.denied
            others = [v for v in spec.values if v != sign and v not in NOT_DONE]
            if len(others) == 1 and spec.scale is None:
                return others[0]
            return "absent" if "absent" in spec.values and sign != "absent" else None
        if spec.denied:  # "no sensory signs" is no absent sensation
            return "absent" if spec.denied == "absent" else None
        if "absent" in spec.values:
            return "absent"
        return None

    def _can_be_unfelt(self, test: str) -> bool:
        """ "Vibration he does not feel": a test of perceiving that has an absent value."""
        values = self.grammar.tests[test].values
        return any(FELT in (v.sets or ()) for v in values.values()) and "absent" in values

    def _joint(self, lattice: Lattice, target: Target) -> bool:
        """One form that names several tests ("gait and station")."""
        words = set(self.grammar.speech.join) | {","}
        return any(
            len(names := {r.test for r in target.name.kinds}) > 1
            and names
            and words & set(lattice.text(a, b).lower().replace(",", " , ").split())
            for a, b in target.name.spans
        ) or any(
            "&" in lattice.text(a, b) or lattice.text(a, b).isupper()
            for a, b in target.name.spans
            if len({r.test for r in target.name.sign}) > 1
        )
