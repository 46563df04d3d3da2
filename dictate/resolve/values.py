"""What was said of a target, as values of its tests; what fits no test is asked about."""

from __future__ import annotations

from dictate.interpret.reader import Reading
from dictate.interpret.statement import Said, Statement
from dictate.model import QuestionKind
from dictate.resolve.fit import (
    NOT_DONE,
    Fit,
    alike,
    beside_word,
    fit,
    is_normal,
    settle_counts,
    takes,
)
from dictate.resolve.targets import Combo, Targets
from dictate.resolve.totals import total_of

#: Sets of value words that speak of nothing wrong.
ALRIGHT = frozenset({"normal", "present"})


class Values(Targets):
    """Finds the values of a statement by one grammar."""

    def _values(
        self, st: Statement, combo: Combo, tests: list[str], given: dict[str, str]
    ) -> tuple[list[tuple[str, str]], list[tuple[QuestionKind, list[str]]]]:
        if "value" in given:
            value = given["value"]
            takers = [t for t in tests if takes(self.grammar, t, value)] or tests
            return [(test, value) for test in takers[:1]], []
        if st.not_done:
            meant = tests[:1] if combo.own_test and not combo.target.joined else tests
            fitted = [fit(self.grammar, test, value) for test in meant for value in st.values]
            if any(f is not None and f.value for f in fitted):
                return [], [("value", [])]  # "wide based gait, unable": found, and not done
            return [(test, st.not_done) for test in meant], []
        if st.parts and any(term.test in tests for term, _ in st.parts):
            return self._total(st, st.parts[0][0].test)
        hits: list[tuple[str, str]] = []
        problems: list[tuple[QuestionKind, list[str]]] = []
        if self._only_alike(st, combo, tests):
            return [], [("value", [])]
        if self._one_is_more(st, tests):
            return [], [("value", [])]
        unfit: list[Said] = []
        graded_too = any(said.grade is not None for said in st.values)
        for said in st.values:
            if graded_too and said.negated and alike(self.grammar, said):
                continue  # "two plus without asymmetry": alike, and the grade says how
            fits = [(test, f) for test in tests if (f := fit(self.grammar, test, said)) is not None]
            good = [(test, f.value) for test, f in fits if f.value and not f.misfit]
            good = self._by_sign(combo, said, good)
            if st.denied and good and self._denied_twice(combo, said):
                problems.append(("value", []))
                continue
            own = any(reading.test for reading in said.readings)
            moved = st.unmoved and any(len(self.grammar.tests[t].values) > 2 for t, _ in good)
            moved = moved or any(self.grammar.tests[test].responses for test, _ in good)
            if st.denied and moved and own:
                problems.append(("value", []))  # that did not happen; what did?
                continue
            if st.denied and good:
                good = [(test, self._turned(test, value)) for test, value in good]  # type: ignore[misc]
                good = [(test, value) for test, value in good if value]
            pairs = [(t, f.pair[0]) for t, f in fits if f.pair and len(set(f.pair)) == 1]
            if not good and pairs and st.both_compared:
                problems.append(("value", []))  # equal halves, and yet one side is said to be more
                continue
            if not good and pairs:
                good = pairs if not combo.own_test else pairs[:1]
                given.setdefault("side", "both")
            if good:
                hits.extend(pair for pair in good if pair not in hits)
            elif not fits and _common(said) and not alike(self.grammar, said):
                unfit.append(said)
            elif fits:
                problems.append(_misfit(fits[0][1]))
            elif said.grade is not None:
                problems.append(
                    ("scale" if any(self.grammar.tests[t].scale for t in tests) else "value", [])
                )
        if not hits and not problems and st.copied and st.side and st.values and combo.signs:
            return [], [("value", [])]  # "spasticity on the left, down on the right"
        if not hits and not problems and all(_qualifies(v) for v in st.values):
            hits = self._unsaid(st, combo, tests)
            if not hits and st.sought and not st.values:
                hits = [(test, NOT_DONE[1]) for test in tests[:1]]  # "I cannot see the fundi"
        if len(tests) == 1 and any(self._contrary(said, hits) for said in unfit):
            return [], [("value", [])]  # "normal abnormal": one of them cannot be said of the test
        if any(self.grammar.tests[t].counts for t in tests) and any(v.grade for v in st.values):
            return [], [("site", [])]
        counted = settle_counts(self.grammar, hits, st.values)
        if counted is None:
            return [], [("value", [])]
        hits = self._worded_first(counted, st)
        if problems and any(v not in self.grammar.tests[t].values for t, v in hits):
            return [], [("value", [])]  # one number fits and another does not: which is meant?
        if self._against_sign(combo, st, hits):
            return [], [("value", [])]
        graded = {(t, v) for t, v in hits if v not in self.grammar.tests[t].values}
        if any(len([v for t, v in graded if t == test]) > 1 for test, _ in graded):
            return [], [("value", [])]
        return self._graded_first(hits, st), [] if hits and not problems else problems

    def _contrary(self, said: Said, hits: list[tuple[str, str]]) -> bool:
        """ "Normal abnormal", "present absent": the one word turns the other round."""
        ids = {reading.id for reading in said.readings if not reading.test}
        for test, value in hits:
            normal = is_normal(self.grammar, test, value)
            turned = {"present", "absent"} == {value} | ids & {"present", "absent"}
            if turned or (normal and not ids & ALRIGHT) or (normal is False and ids & ALRIGHT):
                return True
        return False

    def _one_is_more(self, st: Statement, tests: list[str]) -> bool:
        """ "Pupils three millimetres, left larger": one size for two that differ."""
        if not st.both_compared:
            return False
        sided = st.side or any(target.side for target in st.targets)
        scales = [self.grammar.tests[test].scale or "" for test in tests]
        sizes = any(name and self.grammar.scales[name].kind == "measure" for name in scales)
        graded = any(said.grade is not None for said in st.values)
        return bool(graded and sizes and not sided)

    def _only_alike(self, st: Statement, combo: Combo, tests: list[str]) -> bool:
        """ "Motor symmetric": that the sides are alike says nothing of a whole section."""
        specs = [self.grammar.tests[test] for test in tests]
        summary = any(target.section for target in [combo.target, *combo.more])
        summary = summary and all(spec.gives_way or spec.numbered for spec in specs)
        return bool(summary and st.values) and all(alike(self.grammar, v) for v in st.values)

    def _may_be_said(self, reading: Reading, st: Statement, tests: list[str]) -> list[str]:
        """The tests of which the words can be said ("strong": no touch); all if of none."""
        words = {reading.text(span).lower() for value in st.values for span in value.spans}
        said = [t for t in tests if not words.intersection(self.grammar.tests[t].never)]
        return said or tests

    def _denied_twice(self, combo: Combo, said: Said) -> bool:
        """ "no light touch reduced": a denial and a value of one test; a reply, or what?"""
        if any(reading.kind == "trouble" for reading in said.readings):
            return False
        confirms = any(reading.id == "present" for reading in said.readings)
        if any(reading.id == "absent" and not reading.test for reading in said.readings):
            return True
        signs = any(self.grammar.tests[test].named for test in combo.tests) or combo.signs
        common = all(not reading.test for reading in said.readings)
        return common and not confirms and not signs

    def _total(
        self, st: Statement, test: str
    ) -> tuple[list[tuple[str, str]], list[tuple[QuestionKind, list[str]]]]:
        """A total made of parts: parts alone give their sum; parts that do not add up are asked."""
        scale = self.grammar.scales[self.grammar.tests[test].scale or ""]
        points = {term.id: int(grade.number) for term, grade in st.parts if grade.number.isdigit()}
        said = [f.value for v in st.values if (f := fit(self.grammar, test, v)) and f.value]
        details = {term.id for term, _ in st.labels if term.test == test}
        found = total_of(scale, points, said[0] if said else None, details)
        return ([(test, found)], []) if isinstance(found, str) else ([], [found])

    def _worded_first(self, hits: list[tuple[str, str]], st: Statement) -> list[tuple[str, str]]:
        """Beside a value word, a measure of the same test is a detail of it."""
        worded = {
            test
            for test, value in hits
            if any(beside_word(self.grammar, test, value, said.grade) for said in st.values)
        }
        return [
            (test, value)
            for test, value in hits
            if test not in worded or value in self.grammar.tests[test].values
        ]

    def _graded_first(self, hits: list[tuple[str, str]], st: Statement) -> list[tuple[str, str]]:
        """Beside a grade, "normal" or "symmetric" of the same test is a qualifier of it."""
        graded = {
            test
            for test, value in hits
            if self.grammar.tests[test].scale and value not in self.grammar.tests[test].values
        }
        return [
            (test, value)
            for test, value in hits
            if test not in graded
            or value not in self.grammar.tests[test].values
            or not self.grammar.tests[test].values[value].normal
        ]

    def _against_sign(self, combo: Combo, st: Statement, hits: list[tuple[str, str]]) -> bool:
        """ "does not rise, symmetric": a sign, and a value that it cannot have."""
        common = any(not r.test for v in st.values for r in v.readings if r.kind == "value")
        abnormal = {s.test for s in combo.signs if is_normal(self.grammar, s.test, s.id) is False}
        gone = {s.test for s in combo.signs if s.id == "absent"}
        graded = any(v.grade is not None and v.grade.number != "0" for v in st.values)
        if graded and any(test in gone for test, _ in hits):
            return True  # "no reflexes two plus"
        told = any({r.id for r in v.readings} & {"present", "absent"} for v in st.values)
        normal = any(t in abnormal and is_normal(self.grammar, t, v) for t, v in hits)
        return bool(common and normal and not told and not st.denied)

    def _by_sign(
        self, combo: Combo, said: Said, good: list[tuple[str, str]]
    ) -> list[tuple[str, str]]:
        """ "Babinski positive": present or absent said of a sign is said of its own value."""
        sets = {r.id for r in said.readings if r.kind == "value" and not r.test}
        signs = [s for s in combo.signs if s.id in self.grammar.tests[s.test].values]
        for sign in signs:
            if "present" in sets:
                return [(sign.test, sign.id)]
            if "absent" in sets:
                turned = self._turned(sign.test, sign.id)
                return [(sign.test, turned)] if turned else []
        return good

    def _turned(self, test: str, value: str) -> str | None:
        """The value that denying ``value`` gives."""
        denied = self.grammar.tests[test].denied
        spec = self.grammar.tests[test].values.get(value)
        if spec is not None and spec.normal is not True and denied and denied != value:
            return denied
        others = [v for v in self.grammar.tests[test].values if v != value]
        if spec is not None and len(others) == 1 and self.grammar.tests[test].scale is None:
            return others[0]
        return None

    def _unsaid(self, st: Statement, combo: Combo, tests: list[str]) -> list[tuple[str, str]]:
        hits: list[tuple[str, str]] = []
        for sign in combo.signs:
            value = self._turned(sign.test, sign.id) if st.denied else sign.id
            if value is not None:
                hits.append((sign.test, value))
        if hits or (st.compared and not st.both_compared):
            return hits
        for test in tests if combo.own_test or st.denied else ():
            value = self._denied(test) if st.denied else self.grammar.tests[test].named
            if value is not None:
                hits.append((test, value))
        return hits[:1]


def _qualifies(said: Said) -> bool:
    """A word of some other test ("downward drift") qualifies; a common value word does not."""
    return said.grade is None and all(reading.test for reading in said.readings)


def _common(said: Said) -> bool:
    """A value word of no test in particular."""
    return said.grade is None and any(not reading.test for reading in said.readings)


def _misfit(found: Fit) -> tuple[QuestionKind, list[str]]:
    if found.misfit == "pair" and found.pair:
        return "side", list(found.pair)
    return ("scale" if found.misfit == "scale" else "value"), []
