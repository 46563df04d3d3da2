"""Which tests a site, a value or a grade can belong to; nothing unsaid is chosen."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from dictate.grammar.load import Grammar
from dictate.grammar.names import is_grade
from dictate.grammar.schema import Scale
from dictate.interpret.grades import Grade
from dictate.interpret.lexicon import Reading
from dictate.interpret.statement import Said

Misfit = Literal["scale", "value", "pair"]
#: The set of words that say no more than that something is wrong.
ABNORMAL = "abnormal"
#: The set of words for more than there should be.
INCREASED = "increased"
#: Values that every test takes.
NOT_DONE = ("not_tested", "unable")


@dataclass(frozen=True, slots=True)
class Fit:
    """What a value means for one test: its id, or why it is none."""

    value: str | None = None
    misfit: Misfit | None = None
    pair: tuple[str, str] | None = None
    from_grade: bool = False


def fit(grammar: Grammar, test: str, said: Said) -> Fit | None:
    """What ``said`` means for ``test``; None where it says nothing of that test."""
    if said.grade is not None and (said.grade.missed or said.grade.lost):
        return Fit(misfit="value") if grammar.tests[test].scale else None
    if said.grade is not None and said.negated:
        return Fit(misfit="value") if _fit_grade(grammar, test, said.grade) else None
    if said.grade is not None:
        return _fit_grade(grammar, test, said.grade)
    value = _word(grammar, test, said.readings)
    if value is None:
        return _no_trouble(grammar, test, said)
    if not said.negated:
        return Fit(value)
    if said.unmoved and not _two_valued(grammar, test):
        return Fit(misfit="value")
    opposite = _opposite(grammar, test, value) or _no_more(grammar, test, said.readings)
    return Fit(opposite) if opposite else Fit(misfit="value")


def uncovered(
    grammar: Grammar, hits: list[tuple[str, str]], one_side: bool
) -> list[tuple[str, str]]:
    """The tests and values without what is normal and said by another of them.

    "Pupils normal" says it of their reaction as well; "pupils: left fine" says it of the reaction
    of one, and nothing of both.

    Args:
        grammar: All that can be said.
        hits: Tests and values that one word means.
        one_side: It was said of the right or of the left alone.
    """
    named = {test for test, _ in hits}
    covers = {test: {*grammar.tests[test].covers} for test in named}
    whole = {test for test in named if grammar.tests[test].side == "none" and named & covers[test]}
    silent = whole if one_side else {other for tests in covers.values() for other in tests}
    return [(t, v) for t, v in hits if t not in silent or not is_normal(grammar, t, v)]


def both_true(grammar: Grammar, test: str, values: set[str], together: bool) -> bool:
    """Whether two values of one test are both true.

    Two words of one statement are ("wide-based and ataxic"), and a word with the grade that stands
    beside it ("spastic, Ashworth two"); grades are not, nor is what is absent anything else.

    Args:
        grammar: All that can be said.
        test: Its id.
        values: The two ids.
        together: They were said in one statement.
    """
    known = grammar.tests[test].values
    words = values & known.keys()
    if any(known[word].along and values - {word} <= {*known[word].along} for word in words):
        return True
    if words != values or "absent" in values:
        return False
    return together and len({known[value].normal for value in values}) == 1


def _two_valued(grammar: Grammar, test: str) -> bool:
    """Denying the one value of the test says the other."""
    return len(grammar.tests[test].values) == 2 and grammar.tests[test].scale is None


def _no_trouble(grammar: Grammar, test: str, said: Said) -> Fit | None:
    """ "no loss of sensation": the noun is no value of the test, but its denial says normal."""
    if not any(reading.kind == "trouble" for reading in said.readings):
        return None
    spec = grammar.tests[test]
    normal = [name for name, value in spec.values.items() if value.normal]
    if not said.negated or len(normal) != 1:
        return Fit(misfit="value")
    if alike(grammar, said) and not _means_alike(grammar, test, normal[0]):
        return Fit(misfit="value")
    return Fit(spec.denied or normal[0])


def alike(grammar: Grammar, said: Said) -> bool:
    """ "Symmetric", "without asymmetry": no more than that the two sides are alike."""
    if said.negated:
        return any(reading.id in grammar.speech.uneven for reading in said.readings)
    return any(reading.kind == "both_after" for reading in said.readings)


def _means_alike(grammar: Grammar, test: str, value: str) -> bool:
    """That both sides are alike says this value: of a test without grades, normal."""
    sets = grammar.tests[test].values[value].sets
    words = {word for name in sets or () for word in grammar.sets[name]}
    own = sets is None and value in grammar.sets
    return own or bool(words.intersection(grammar.sides.both_after_value))


def _word(grammar: Grammar, test: str, readings: Iterable[Reading]) -> str | None:
    spec = grammar.tests[test]
    for reading in readings:
        if reading.kind == "value" and reading.test == test:
            return reading.id
        if reading.kind == "grade_word" and spec.scale and reading.test == test:
            return reading.id
    for reading in readings:
        if reading.kind == "value" and not reading.test:
            for value, words in spec.values.items():
                if reading.id in (words.sets if words.sets is not None else (value,)):
                    return value
    return None


def _opposite(grammar: Grammar, test: str, value: str) -> str | None:
    """What a denied value says: an abnormal one the test's denial, of two values the other.

    Of several that are left ("the pupil is not sluggish": normal, or absent) it says none.
    """
    spec = grammar.tests[test]
    if spec.responses:
        return None
    wrong = value in spec.values and spec.values[value].normal is False
    if wrong and spec.denied and spec.denied != value:
        return spec.denied if value != "absent" else None
    others = [name for name in spec.values if name != value]
    if len(others) == 1 and (spec.scale is None or spec.values[others[0]].normal):
        return others[0]
    if value in spec.values and spec.values[value].normal:
        general = [v for v, w in spec.values.items() if ABNORMAL in (w.sets or (v,))]
        return general[0] if len(general) == 1 else None
    return None


def _no_more(grammar: Grammar, test: str, readings: Iterable[Reading]) -> str | None:
    """ "Not increased", of any test in the same word, is its normal value (contract, rule 7)."""
    normal = [name for name, entry in grammar.tests[test].values.items() if entry.normal]
    plain = any(r.kind == "value" and not r.test and r.id == INCREASED for r in readings)
    return normal[0] if plain and len(normal) == 1 else None


def _fit_grade(grammar: Grammar, test: str, grade: Grade) -> Fit | None:
    name = grammar.tests[test].scale
    named = grammar.tests[test].named
    if name is None and named and grade.plusses and grade.end - grade.start == 1:
        return Fit(named)  # "glabellar +": the sign is there
    if name is None:
        return None
    scale = grammar.scales[name]
    if scale.kind == "grades":
        return _on_grades(scale, grade, grammar.denominators)
    if scale.kind == "signed":
        return _signed(scale, grade)
    if grade.sign or grade.plusses:
        return None
    if scale.kind == "measure":
        return _measure(scale, grade)
    if grade.unit or grade.until:
        return None
    if scale.kind == "count":
        if scale.of_needed and not grade.of:
            return Fit(misfit="value")
        if grade.of and float(grade.number) > float(grade.of):
            return Fit(misfit="scale")
        if grade.of and (counted := grammar.tests[test].counted):
            right, tries = float(grade.number), float(grade.of)
            return Fit(counted.all if right == tries else counted.some if right else counted.none)
        return Fit(f"{grade.number}/{grade.of}" if grade.of else grade.number, from_grade=True)
    if scale.kind == "acuity":
        chart = grade.of is not None and grade.number.isdigit() and int(grade.number) in scale.first
        if grade.number == grade.of and f"{grade.number}/{grade.of}" not in scale.normal:
            return None  # "three of three" counts
        line = grade.of is not None and grade.of.isdigit() and int(grade.of) in scale.second
        if chart and not line:
            return Fit(misfit="scale")
        return Fit(f"{grade.number}/{grade.of}", from_grade=True) if chart else None
    return _total(scale, grade)


def _measure(scale: Scale, grade: Grade) -> Fit | None:
    writes = scale.unit.writes if scale.unit else ""
    if grade.until and grade.extra is None:
        return Fit(misfit="value")  # "three to four"; "four to two" shrinks, and stands
    if grade.of and grade.slash:
        return Fit(misfit="pair", pair=(f"{grade.number} {writes}", f"{grade.of} {writes}"))
    if grade.unit not in (None, writes) or grade.of:
        return None
    bare = scale.alone_from is not None and float(grade.number) >= scale.alone_from
    if scale.unit_needed and grade.unit is None and not bare:
        return Fit(misfit="value")
    low, high = scale.low or 0, scale.high or math.inf
    if scale.unit_needed and not low <= float(grade.number) <= high:
        return Fit(misfit="scale")
    return Fit(f"{grade.number} {writes}", from_grade=True)


def _signed(scale: Scale, grade: Grade) -> Fit | None:
    """A number with its sign ("minus two"); without one, only zero says which it is."""
    if grade.of or grade.unit:
        return None
    if grade.until or grade.sign not in ("+", "-", "") or not grade.number.isdigit():
        return Fit(misfit="value")
    number = int(grade.number)
    if not grade.sign and number:
        return Fit(misfit="value")
    if not (scale.low or 0) <= (-number if grade.sign == "-" else number) <= (scale.high or 0):
        return Fit(misfit="scale")
    return Fit(f"{grade.sign}{number}" if number else "0", from_grade=True)


def beside_word(grammar: Grammar, test: str, value: str, grade: Grade | None) -> bool:
    """A measure that only adds to a value word of the test ("positive at forty degrees").

    A count says more than "correct" does ("four of five correct").
    """
    scale = grammar.tests[test].scale
    if grade is None or scale is None or grade.counts:
        return False
    if grade.of and grammar.tests[test].counted:
        return True
    kind = grammar.scales[scale].kind
    words = grammar.tests[test].values
    counted = kind == "count" and grammar.scales[scale].of_needed
    if value not in words:
        return False
    return kind == "measure" or (counted and words[value].normal is False)


def settle_counts(
    grammar: Grammar, hits: list[tuple[str, str]], said: Iterable[Said]
) -> list[tuple[str, str]] | None:
    """ "Four of five correct": the count says how many; None where a word says otherwise.

    Args:
        grammar: Which tests are counted.
        hits: Tests and their values.
        said: The values as they were said.
    """
    graded = [one for one in said if one.grade is not None]
    for test in {test for test, _ in hits if grammar.tests[test].counted}:
        counts = {f.value for one in graded if (f := fit(grammar, test, one)) and f.value}
        words = {value for t, value in hits if t == test} - counts
        if not counts or not words:
            continue
        if len(counts) > 1 or any(not is_normal(grammar, test, word) for word in words):
            return None
        hits = [(t, value) for t, value in hits if t != test or value in counts]
    return hits


def _total(scale: Scale, grade: Grade) -> Fit | None:
    if not grade.number.isdigit():
        return Fit(misfit="scale")
    number = float(grade.number)
    low, high = scale.low or 0, scale.high or number
    if (grade.of and grade.of != str(int(high))) or not low <= number <= high:
        return Fit(misfit="scale")
    return Fit(grade.number, from_grade=True)


def _on_grades(scale: Scale, grade: Grade, others: frozenset[str]) -> Fit | None:
    if grade.unit:
        return None
    if grade.plusses and not scale.bare_plus:
        return None
    of = str(scale.of) if scale.of else None
    if grade.of and grade.of != of and grade.slash and not grade.of_sign and grade.of in others:
        return Fit(misfit="scale")
    if grade.of and grade.of != of:
        if grade.slash and of:
            right, left = _grade_on(scale, grade.text), _grade_on(scale, grade.of + grade.of_sign)
            if right and left and not grade.until:
                return Fit(misfit="pair", pair=(right, left))
        return Fit(misfit="scale")
    if grade.of and grade.of_sign and grade.of == of:
        right, left = _grade_on(scale, grade.text), _grade_on(scale, grade.of + grade.of_sign)
        if grade.slash and right and left:
            return Fit(misfit="pair", pair=(right, left))
        return Fit(misfit="scale")
    value = _grade_on(scale, grade.text)
    if value is None:
        return Fit(misfit="scale")
    if grade.until:
        upper = _grade_on(scale, grade.until)
        return Fit(misfit="value" if upper else "scale")
    return Fit(value, from_grade=True)


def _grade_on(scale: Scale, text: str) -> str | None:
    if text in scale.grades:
        return text
    if scale.bare_plus and f"{text}+" in scale.grades:
        return f"{text}+"
    return None


def settles_scale(grammar: Grammar, test: str, said: Said) -> bool:
    """The grade was said with an "of" that names this test's scale ("of five")."""
    scale = grammar.tests[test].scale
    if said.grade is None or said.grade.of is None or scale is None:
        return False
    spec = grammar.scales[scale]
    return spec.of_says_scale and said.grade.of == str(spec.of)


def is_normal(grammar: Grammar, test: str, value: str) -> bool | None:
    """Whether a value is normal; None where the trade has no normal for it."""
    spec = grammar.tests[test]
    if value in NOT_DONE:
        return None
    if value in spec.values:
        return spec.values[value].normal
    if spec.scale is None:
        return None
    scale = grammar.scales[spec.scale]
    if scale.kind != "grades":
        return value in scale.normal if scale.normal else None
    return True if value in scale.normal else None if value in scale.either else False


def takes(grammar: Grammar, test: str, value: str) -> bool:
    """The test has this value: one of its words, or a grade or number of its scale."""
    own = grammar.tests[test].values
    return value in own or value in NOT_DONE or is_grade(grammar, test, value)


def side_rule(grammar: Grammar, test: str, site: str | None, value: str) -> str:
    """none, said, abnormal or needed: whether this finding needs a side."""
    spec = grammar.tests[test]
    if value in NOT_DONE:
        return "none" if spec.side == "none" else "said"
    if value in spec.sided_values:
        return spec.sided_values[value]
    if spec.side == "none":
        return "none"
    if site is not None:
        entry = grammar.sites_of(test).get(site)
        if entry is not None and entry.unsided and spec.side == "needed":
            return "said"
        if entry is not None and entry.side is not None:
            return entry.side
    return spec.side
