"""What reads like a statement and is none: words of the examination in talk about other things."""

from __future__ import annotations

from dictate.interpret.items import Item
from dictate.interpret.reader import Reading
from dictate.interpret.statement import Said, Statement, Target
from dictate.resolve.context import Holds
from dictate.resolve.draft import Draft
from dictate.resolve.fit import fit
from dictate.resolve.ordinary import Ordinary, mended

#: Kinds of items that speak of an examination, and how many words nobody knows may stand beside
#: them: so many anyway, and so many more for each. Chosen on the dictated passages.
_EXAMINED = {"target", "edge_site", "value", "grade", "side", "deny", "not_tested", "detail"}
_STRANGE_MORE, _STRANGE_EACH = 2, 1


class Unlike(Ordinary):
    """Tells by one grammar what is unlike a statement."""

    def unfounded(self, reading: Reading, st: Statement) -> bool:
        """A bare number beside a part of the body and unknown words ("two were neck pills")."""
        plain = [said.grade for said in st.values if said.grade is not None]
        bare = bool(plain) and all(not (grade.sign or grade.of or grade.unit) for grade in plain)
        lay = all(self._is_lay(reading, t) and not (t.tests or t.signs) for t in st.targets)
        return bare and bool(st.targets) and lay and bool(st.unknown)

    def foreign(self, reading: Reading, st: Statement, draft: Draft, holds: Holds) -> bool:
        """What was said is of another test than the one that the site would suggest.

        "No numbness in the legs" says nothing of a test that takes a leg and a "no"; with a word
        that nobody knows, a value at a site is not of the only known test there either.

        Args:
            reading: The utterance it stands in.
            st: A statement.
            draft: What it would come to.
            holds: What headings give.
        """
        named = {r.test for t in st.targets for r in (*t.tests, *t.signs)}
        own = [{r.test for r in t.sites} for t in st.targets]
        own += [self._tests_of_word(reading, said, st) for said in st.values]
        named |= {test for tests in own if len(tests) == 1 for test in tests}
        held = {hold.id for hold in (holds.test, holds.item_test) if hold is not None}
        if any(said.grade is not None for said in st.values) or not st.targets:
            return False
        where = {hold.id for hold in (holds.site, holds.item_site) if hold is not None}
        lost = _between(st) and not any(t.sites for t in st.targets)
        for finding in draft.findings:
            if lost and finding.site in where:
                return True  # "left shoulder: ... intact radial sensation" is not of the shoulder
            muscles = [r.group == "muscle" for t in st.targets for r in t.sites]
            if finding.test in named or (muscles and all(muscles)):
                continue
            fits = any(fit(self.grammar, finding.test, said) for said in st.values)
            if (st.values and not fits) or (st.unknown and finding.test not in held):
                return True
        return False

    def casual(self, st: Statement) -> bool:
        """ "She is walking fine": an ordinary name counts only with a word of the test's own.

        Args:
            st: A statement.
        """
        names = [r for target in st.targets for r in target.tests]
        if not names or not all(r.casual for r in names):
            return False
        own = {r.test for r in names}
        if any(target.signs or target.sites for target in st.targets) or st.not_done:
            return False
        return not any(r.test in own for said in st.values for r in said.readings)

    def mangled(self, reading: Reading, st: Statement) -> bool:
        """All that speaks of an examination may be ordinary words, brought back as other ones.

        Args:
            reading: The utterance it stands in.
            st: A statement before anything was found.
        """
        return self.buried(reading, st, False, True)

    def buried(self, reading: Reading, st: Statement, examining: bool, plain: bool = False) -> bool:
        """A word or two of the examination in a sentence about something else.

        "Magnetic fields are strong near the coils of the big motor" is full of words that nobody
        here knows, and what is known in it is not enough to be a statement.

        Args:
            reading: The utterance it stands in.
            st: A statement without a grade that only a scale of the examination has.
            examining: Something else was found already, so that one word may well be a statement.
            plain: Words brought back from mangled ones count as the ordinary words that they are.
        """
        if any(said.grade and (said.grade.sign or said.grade.of) for said in st.values):
            return False
        row = self._row(reading, st)
        back = [plain and mended(reading, item) for item in row]
        known = sum(x.kind in _EXAMINED and not m for x, m in zip(row, back, strict=True))
        strange = sum(x.kind in {"unknown", "talk"} or m for x, m in zip(row, back, strict=True))
        limbs = [r.group == "limb" for t in st.targets for r in t.sites]
        lone = known < 2 or (
            any(limbs) and self.graded(st) and not any(t.tests for t in st.targets)
        )
        shouted = bool(row) and row[-1].text == "!"
        few = lone and not examining
        return shouted or strange > (1 if few else _STRANGE_MORE + _STRANGE_EACH * known)

    def all_lay(self, reading: Reading, st: Statement) -> bool:
        """Every name in it is one that anybody uses, and so is every value.

        Args:
            reading: The utterance it stands in.
            st: A statement.
        """
        if self.graded(st):
            return False
        words = [reading.norms(span) for said in st.values for span in said.spans]
        return all(self._is_lay(reading, t) for t in st.targets) and all(
            word in self._anybody for word in words
        )

    def graded(self, st: Statement) -> bool:
        """A grade was said.

        Args:
            st: A statement.
        """
        return any(said.grade is not None for said in st.values)

    def _tests_of_word(self, reading: Reading, said: Said, st: Statement) -> set[str]:
        """The tests that a value word names by itself ("full power"), if little else is unknown."""
        words = " ".join(reading.text(span) for span in said.spans)
        if any(r.kind != "value" for r in said.readings) or (
            len(st.unknown) > 1 and " " not in words
        ):
            return set()
        return {r.test for r in said.readings}

    def _row(self, reading: Reading, st: Statement) -> list[Item]:
        """The sentence that a statement stands in."""
        spans = [s for t in st.targets for s in t.spans] + [s for v in st.values for s in v.spans]
        at = min((start for start, _ in spans or st.spans), default=0)
        return next((s.row for s in reading.sentences if s.start <= at < s.end), [])

    def _to_somebody(self, reading: Reading, st: Statement) -> bool:
        return any("you" in item.others for item in self._row(reading, st))

    def _is_lay(self, reading: Reading, target: Target) -> bool:
        words = [reading.norms(span) for span in target.spans]
        return all(word in self._lay for word in words)


def _between(st: Statement) -> bool:
    """A word that nobody knows stands between a value and the name after it."""
    values = [end for said in st.values for _, end in said.spans]
    names = [start for target in st.targets for start, _ in target.spans]
    if not values or not names:
        return False
    return any(min(values) <= start < max(names) for start, _ in st.unknown)
