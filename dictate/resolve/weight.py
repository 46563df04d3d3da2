"""Whether a statement speaks enough of the examination to ask back about it.

A question costs an examiner with full hands something. It is asked where the statement names a
test, a muscle or a grade. Words that come up in any talk (a limb, "fine", "no") and nothing else
make a remark: it stays word for word in the list of what to look through.
"""

from __future__ import annotations

from functools import lru_cache

from dictate.grammar.load import Grammar
from dictate.interpret.reader import Reading
from dictate.interpret.statement import Said, Statement, Target
from dictate.interpret.tokens import norms
from dictate.model import Finding
from dictate.resolve.fit import fit
from dictate.resolve.unlike import Unlike


class Weight(Unlike):
    """Weighs statements by one grammar."""

    def asks_back(self, reading: Reading, st: Statement) -> bool:
        """A question about the statement is worth asking.

        Args:
            reading: The utterance it stands in.
            st: A statement that gave no finding as it stands.
        """
        if any(self._of_scale(said, st) for said in st.values):
            return True
        if st.doubts and not st.targets:
            return False
        if st.hesitant and st.side and st.targets and not st.unknown:
            return True
        sided = st.side or any(target.side for target in st.targets)
        if (
            (st.both_compared or (st.compared and sided))
            and not st.unknown
            and not self._to_somebody(reading, st)
        ):
            return True
        if st.rest and self.graded(st) and not st.unknown:
            return True
        named = [target for target in st.targets if self._named(reading, target)]
        if named:
            return self._said_of(reading, st, named)
        if st.parts or any(self._own(said) and not st.unknown for said in st.values):
            return True
        if st.sections and st.values and st.targets:
            return True
        if any(self._plainly_named(reading, target, st) for target in st.targets):
            return True
        return self._bare_site(reading, st)

    def refers(self, reading: Reading, st: Statement) -> bool:
        """It can refer to a finding: it has a side, a grade or a word of the trade.

        Args:
            reading: The utterance it stands in.
            st: A repetition or a correction with nothing to refer to.
        """
        if st.side and not st.targets and not st.values and self._to_somebody(reading, st):
            return False
        if st.side or any(target.side for target in st.targets):
            return not st.unknown
        graded = any(said.grade is not None for said in st.values)
        named = any(self._named(reading, target) for target in st.targets)
        own = any(self._own(said) for said in st.values)
        return (graded or named or own) and not st.unknown

    def idle(self, reading: Reading, st: Statement) -> bool:
        """Nothing but words that answer any question: "no, that's fine", "no numbness".

        Args:
            reading: The utterance it stands in.
            st: A statement that follows a question to the patient.
        """
        if st.side in {"right", "left"} or st.parts or any(said.grade for said in st.values):
            return False
        if any(target.side in {"right", "left"} for target in st.targets):
            return False
        if any(not self._is_lay(reading, target) for target in st.targets):
            return False
        return self.lay_value(reading, st)

    def spoken_to(self, reading: Reading, st: Statement) -> bool:
        """Lay words alone, in a sentence that speaks to somebody: "your mouth looks okay".

        Args:
            reading: The utterance it stands in.
            st: One of its statements.
        """
        return self.idle(reading, st) and self._to_somebody(reading, st)

    def has_site(self, finding: Finding) -> bool:
        """The test takes the site: "facial sensation and strength in V1" has a strength nowhere.

        Args:
            finding: What a statement would come to.
        """
        return finding.site is None or finding.site in self.grammar.sites_of(finding.test)

    def announced(self, st: Statement) -> str | None:
        """A group's name before its members ("cranial nerves, pupils equal") only announces them.

        Args:
            st: A statement that names several tests.

        Returns:
            The group's test, if the statement says nothing of the group itself.
        """
        named = [[r.test for r in t.tests] for t in st.targets if t.tests]
        if len(named) < 2 or len(named[0]) != 1 or st.details or st.value_first:
            return None
        group, member = named[0][0], named[1][0]
        second = [t for t in st.targets if t.tests][1]
        if any(at[0] < second.spans[0][0] for said in st.values for at in said.spans):
            return None
        same = self.grammar.area_of(group) is self.grammar.area_of(member)
        return group if self.grammar.tests[group].numbered and same and group != member else None

    def lay_value(self, reading: Reading, st: Statement) -> bool:
        """All that was said of it is a word that answers any question ("fine", "no")."""
        spans = [span for said in st.values for span in said.spans]
        words = [reading.norms(span) for span in spans]
        return all(word in self._lay_values for word in words) and not st.parts

    def _of_scale(self, said: Said, st: Statement) -> bool:
        """A grade as only a scale of the examination has it, or any number of something named."""
        grade = said.grade
        if grade is None:
            return False
        if grade.of is not None and not st.targets:
            return grade.of in self.grammar.denominators or (
                grade.of.isdigit() and int(grade.of) < 10 and not st.unknown
            )
        if grade.sign or grade.of in self.grammar.denominators:
            return True
        sided = st.side in {"right", "left"} or any(target.side for target in st.targets)
        tests = {r.test for target in st.targets for r in (*target.tests, *target.signs)}
        named = any(fit(self.grammar, test, said) for test in tests)
        return (named or sided or self._muscle(st)) and not (st.unknown and not named)

    def _muscle(self, st: Statement) -> bool:
        """A muscle or a reflex is named."""
        return any(r.group in {"muscle", "reflex"} or r.test for t in st.targets for r in t.sites)

    def _named(self, reading: Reading, target: Target) -> bool:
        """The target is a test, a sign, a muscle or a reflex, in a word of the trade."""
        if self._is_lay(reading, target):
            return False
        if target.tests or target.signs:
            return True
        return any(r.group in {"muscle", "reflex"} or r.test for r in target.sites)

    def _plainly_named(self, reading: Reading, target: Target, st: Statement) -> bool:
        """ "Hearing reduced", "smell, um", "tremor of the hand": an everyday name, used plainly."""
        if not (target.tests or target.signs) or st.unknown or st.talk or st.doubts:
            return False
        tests = {r.test for r in (*target.tests, *target.signs)}
        fits = any(fit(self.grammar, test, said) for test in tests for said in st.values)
        denied = any(said.negated for said in st.values)
        valued = fits and (denied or not self.lay_value(reading, st))
        signs = bool(target.signs) and self._of_trade(reading, target)
        return valued or st.hesitant or bool(target.sites) or signs

    def _of_trade(self, reading: Reading, target: Target) -> bool:
        """The sentence names something else in a word of the trade."""
        at = target.spans[0][0]
        for sentence in reading.sentences:
            if sentence.start <= at < sentence.end:
                others = [item for item in sentence.row if item.kind == "target"]
                return any(norms(item.text) not in self._lay for item in others)
        return False

    def _said_of(self, reading: Reading, st: Statement, named: list[Target]) -> bool:
        if not st.unknown or st.values or st.not_done or st.compared:
            return True
        return any(target.tests or target.signs for target in named)

    def _own(self, said: Said) -> bool:
        """A value word that belongs to a test and to nothing else."""
        return bool(said.readings) and all(r.test for r in said.readings)

    def _bare_site(self, reading: Reading, st: Statement) -> bool:
        """ "Right hand normal": a part of the body with a side and a plain value, nothing else."""
        sides = st.side or any(target.side or target.both for target in st.targets)
        plain = not st.unknown and not st.talk and not st.doubts
        return bool(st.targets and st.values and sides and plain)


@lru_cache(maxsize=4)
def weight_of(grammar: Grammar) -> Weight:
    """The weight of a grammar, made once: it remembers nothing of a narration."""
    return Weight(grammar)
