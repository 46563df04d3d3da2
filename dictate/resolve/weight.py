"""Whether a statement speaks enough of the examination to ask back about it.

A question costs an examiner with full hands something. It is asked where the statement names a
test, a muscle or a grade. Words that come up in any talk (a limb, "fine", "no") and nothing else
make a remark: it stays word for word in the list of what to look through.
"""

from __future__ import annotations

from functools import lru_cache

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item
from dictate.interpret.reader import Reading
from dictate.interpret.statement import Said, Statement, Target
from dictate.interpret.tokens import norms
from dictate.model import Finding
from dictate.resolve.context import Holds
from dictate.resolve.draft import Draft
from dictate.resolve.fit import fit

#: Kinds of items that speak of an examination, and how many words nobody knows may stand beside
#: them: so many anyway, and so many more for each. Chosen on the dictated passages.
_EXAMINED = {"target", "edge_site", "value", "grade", "side", "deny", "not_tested", "detail"}
_STRANGE_MORE, _STRANGE_EACH = 2, 1


class Weight:
    """Weighs statements by one grammar."""

    def __init__(self, grammar: Grammar) -> None:
        """Collect the words that lay people use as well."""
        self.grammar = grammar
        self._lay = {norms(form) for form in grammar.speech.talk.lay}
        lay_values = grammar.speech.talk.lay_values
        self._lay_values = {norms(form) for form in lay_values}

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

    def graded(self, st: Statement) -> bool:
        """A grade was said.

        Args:
            st: A statement.
        """
        return any(said.grade is not None for said in st.values)

    def spoken_to(self, reading: Reading, st: Statement) -> bool:
        """Lay words alone, in a sentence that speaks to somebody: "your mouth looks okay".

        Args:
            reading: The utterance it stands in.
            st: One of its statements.
        """
        return self.idle(reading, st) and self._to_somebody(reading, st)

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
        mended = [plain and _mended(reading, item) for item in row]
        known = sum(x.kind in _EXAMINED and not m for x, m in zip(row, mended, strict=True))
        strange = sum(x.kind in {"unknown", "talk"} or m for x, m in zip(row, mended, strict=True))
        limbs = [r.group == "limb" for t in st.targets for r in t.sites]
        lone = known < 2 or (
            any(limbs) and self.graded(st) and not any(t.tests for t in st.targets)
        )
        shouted = bool(row) and row[-1].text == "!"
        few = lone and not examining
        return shouted or strange > (1 if few else _STRANGE_MORE + _STRANGE_EACH * known)

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

    def _tests_of_word(self, reading: Reading, said: Said, st: Statement) -> set[str]:
        """The tests that a value word names by itself ("full power"), if little else is unknown."""
        words = " ".join(reading.text(span) for span in said.spans)
        if any(r.kind != "value" for r in said.readings) or (
            len(st.unknown) > 1 and " " not in words
        ):
            return set()
        return {r.test for r in said.readings}

    def _to_somebody(self, reading: Reading, st: Statement) -> bool:
        return any("you" in item.others for item in self._row(reading, st))

    def _row(self, reading: Reading, st: Statement) -> list[Item]:
        """The sentence that a statement stands in."""
        spans = [s for t in st.targets for s in t.spans] + [s for v in st.values for s in v.spans]
        at = min((start for start, _ in spans or st.spans), default=0)
        return next((s.row for s in reading.sentences if s.start <= at < s.end), [])

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
        valued = fits and not self.lay_value(reading, st)
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

    def _is_lay(self, reading: Reading, target: Target) -> bool:
        words = [reading.norms(span) for span in target.spans]
        return all(word in self._lay for word in words)

    def _bare_site(self, reading: Reading, st: Statement) -> bool:
        """ "Right hand normal": a part of the body with a side and a plain value, nothing else."""
        sides = st.side or any(target.side or target.both for target in st.targets)
        plain = not st.unknown and not st.talk and not st.doubts
        return bool(st.targets and st.values and sides and plain)


def _mended(reading: Reading, item: Item) -> bool:
    """The item was brought back from other letters, not only from a word cut in two."""
    for repair in reading.repairs:
        if repair.start < item.end and item.start < repair.end:
            letters = "".join(reading.norms((repair.start, repair.end)))
            return letters != repair.form.replace(" ", "")
    return False


def _between(st: Statement) -> bool:
    """A word that nobody knows stands between a value and the name after it."""
    values = [end for said in st.values for _, end in said.spans]
    names = [start for target in st.targets for start, _ in target.spans]
    if not values or not names:
        return False
    return any(min(values) <= start < max(names) for start, _ in st.unknown)


@lru_cache(maxsize=4)
def weight_of(grammar: Grammar) -> Weight:
    """The weight of a grammar, made once: it remembers nothing of a narration."""
    return Weight(grammar)
