"""What can be denied, doubted or left out: signs, values, movements and tests of the grammar.

Nothing here knows a test or a sign by name, so a new one is swept as soon as the grammar has it. A
subject counts only if its plain statement ("ptosis on the right") is read as what it says.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import yaml

from dictate.grammar import load_grammar, schema
from dictate.model import OTHER_SIDE, Record, Utterance
from dictate.session import Session

GRAMMAR = load_grammar()
#: Not taken to be denied: values that say that nothing was found out.
NOT_DONE = ("not_tested", "unable")

Row = tuple[str, str | None, str | None, str]


@cache
def data() -> dict[str, Any]:
    """The ways of saying (ways.yaml)."""
    text = Path(__file__).with_name("ways.yaml").read_text("utf-8")
    return yaml.safe_load(text)


def hear(*lines: str) -> Record:
    """The record of a few lines, one utterance each."""
    session = Session(GRAMMAR)
    for number, line in enumerate(lines, 1):
        session.take(Utterance(f"u{number}", line))
    return session.record()


def rows(record: Record) -> list[Row]:
    """What the findings say, without their places."""
    return [(f.test, f.site, f.side, f.value) for f in record.findings]


@dataclass(frozen=True)
class Subject:
    """Something to speak of, on one side or on none.

    ``words`` fill the slots of a way; ``row`` is what its plain statement gives; ``absent`` the
    values that its denial may give; ``sides`` those that a finding of it may have.
    """

    test: str
    side: str | None
    words: dict[str, str] = field(hash=False)
    plain: str
    row: Row
    absent: frozenset[str]

    @property
    def name(self) -> str:
        """What it is called in a list."""
        return f"{self.test}: {self.plain}"


def subjects(kind: str) -> list[Subject]:
    """The subjects of a kind ("sign", "value", "test", ...), right and left."""
    make = {
        "sign": _signs, "value": _values, "normal": _normals, "movement": _movements,
        "test": _tests, "response": _responses, "grade": _grades,
    }[kind]  # fmt: skip
    return [found for name in GRAMMAR.tests for found in make(name) if _is_read(found)]


def _is_read(subject: Subject) -> bool:
    record = hear(subject.plain)
    return rows(record) == [subject.row] and not record.questions


def _wheres(name: str) -> Iterator[tuple[str | None, str, str | None]]:
    """Side, its words (" in the right hand") and site, for the right and the left."""
    test = GRAMMAR.tests[name]
    sites = GRAMMAR.sites_of(name)
    if test.side == "none":
        yield None, "", None
        return
    sided = [(s, spec) for s, spec in sites.items() if not spec.unsided and spec.spoken]
    for side in OTHER_SIDE:
        if sided:
            site, spec = sided[0]
            yield side, f" in the {side} {spec.spoken[0]}", site
        else:
            yield side, f" on the {side}", None


def _named(noun: str) -> dict[str, str]:
    """The verbs that go with a noun."""
    last = noun.split(" ")[-1].lower()
    many = last.endswith(("s", "li")) and not last.endswith(("ss", "is", "us"))
    one = ("is", "isn't", "was", "wasn't", "does", "doesn't", "has")
    more = ("are", "aren't", "were", "weren't", "do", "don't", "have")
    slots = ("is", "isnt", "was", "wasnt", "does", "doesnt", "has")
    return dict(zip(slots, more if many else one, strict=True))


def _signs(name: str) -> Iterator[Subject]:
    test = GRAMMAR.tests[name]
    if test.denied is None:
        return
    nouns = [(test.spoken[0], test.named)] if test.named and test.spoken else []
    ends = tuple(data()["no_nouns"])
    for value, spec in test.values.items():
        if spec.normal is True or value == test.denied:
            continue
        things = [w for w in spec.alone if _is_noun(w, ends)]
        nouns += [(word, value) for word in things[:1]]
    for noun, value in nouns:
        for side, where, site in _wheres(name):
            words = {"sign": noun, "where": where, **_named(noun)}
            plain = f"There {words['is']} {noun}{where}."
            absent = frozenset({test.denied})
            yield Subject(name, side, words, plain, (name, site, side, value), absent)


def _is_noun(word: str, ends: tuple[str, ...]) -> bool:
    verbs = data()["verbs"]
    denies = {w for form in GRAMMAR.speech.negation.before for w in form.split(" ")}
    parts = word.lower().split(" ")
    starts = parts[0] in {"in", "walks", "turns"} or parts[0] in denies
    return not (starts or parts[-1].endswith(ends) or any(part in verbs for part in parts))


def _names(name: str) -> tuple[str, ...]:
    test = GRAMMAR.tests[name]
    return tuple(word for word in test.spoken if word not in test.casual)[:1]


def _values(name: str) -> Iterator[Subject]:
    """An abnormal word of a test that is no sign: "tone", "increased"."""
    test = GRAMMAR.tests[name]
    for noun in () if test.named else _names(name):
        for value, spec in test.values.items():
            if spec.normal is True or not _words_of(value, spec):
                continue
            word = _words_of(value, spec)[0]
            for side, where, site in _wheres(name):
                words = {"name": noun, "value": word, "where": where, **_named(noun)}
                plain = f"{noun}{where} {words['is']} {word}."
                row = (name, site, side, value)
                yield Subject(name, side, words, plain, row, _left_by(test, value))


def _left_by(test: schema.Test, value: str) -> frozenset[str]:
    """What denying a value may say: what the test's denial says, or the one other value."""
    if test.denied and test.denied != value:
        return frozenset({test.denied})
    others = frozenset(test.values) - {value, *NOT_DONE}
    return others if len(others) == 1 else frozenset()


def _words_of(value: str, spec: schema.Value) -> list[str]:
    """Adjectives for a value."""
    ends = (*data()["no_nouns"], "ed", "k", "w")
    sets = (value,) if spec.sets is None else spec.sets
    forms = [*spec.spoken, *(w for s in sets for w in GRAMMAR.sets.get(s, ()))]
    return [form for form in forms if " " not in form and form.endswith(ends)]


def _normals(name: str) -> Iterator[Subject]:
    test = GRAMMAR.tests[name]
    normal = [v for v, spec in test.values.items() if v == "normal" and spec.normal]
    # what is wrong in general, or the one thing that can be
    others = [v for v, spec in test.values.items() if spec.normal is False]
    general = {v for v in others if v in ("abnormal", "impaired")}
    allowed = general | (set(others) if len(others) == 1 else set())
    for noun in _names(name) if normal else ():
        for side, where, site in _wheres(name):
            words = {"name": noun, "where": where, **_named(noun)}
            plain = f"{noun}{where} {words['is']} normal."
            row = (name, site, side, "normal")
            yield Subject(name, side, words, plain, row, frozenset(allowed))


def _movements(name: str) -> Iterator[Subject]:
    """A value that is a movement: "toe", "goes up"."""
    test, verbs = GRAMMAR.tests[name], data()["verbs"]
    for value, spec in test.values.items():
        others = set(test.values) - {value, *NOT_DONE}
        allowed = frozenset(others if len(others) == 1 else ())
        moves = [form for form in spec.spoken if form.split(" ")[0] in verbs]
        nouns = [(noun, form) for noun in _names(name) for form in moves[:1]]
        for form in spec.alone:
            parts = form.split(" ")
            at = next((i for i, part in enumerate(parts) if part in verbs and i), None)
            if at is not None:
                nouns.append((" ".join(parts[:at]), " ".join(parts[at:])))
        for noun, form in dict(nouns).items():
            verb, _, rest = form.partition(" ")
            for side, where, site in _wheres(name):
                base = f"{verbs[verb]} {rest}".strip()
                words = {"name": noun, "verb": base, "where": where, **_named(noun)}
                plain = f"{noun} {form}{where}."
                yield Subject(name, side, words, plain, (name, site, side, value), allowed)


def _tests(name: str) -> Iterator[Subject]:
    """A test that can be left out; any of its values shows that its name is read."""
    test = GRAMMAR.tests[name]
    value = test.named or next((v for v, spec in test.values.items() if spec.normal is True), None)
    for noun in _names(name) if value else ():
        for side, where, site in _wheres(name):
            words = {"name": noun, "where": where, **_named(noun)}
            said = "present" if value == "present" else str(value).replace("_", " ")
            plain = f"{noun} {said}{where}."
            row = (name, site, side, str(value))
            yield Subject(name, side, words, plain, row, frozenset(NOT_DONE))


NUMBERS = {"0": "zero", "1": "one", "2": "two", "3": "three", "4": "four", "5": "five"}
SIGNS = {"+": "plus", "-": "minus"}


def spoken(grade: str) -> str:
    """ "4+" as "four plus"."""
    number = grade.rstrip("+-")
    return " ".join([NUMBERS[number], *(SIGNS[sign] for sign in grade[len(number) :])])


def graded(name: str) -> Iterator[tuple[str, str, str, str]]:
    """Side, site, "right knee jerk" and a grade, of a test whose scale has ordered grades."""
    test = GRAMMAR.tests[name]
    scale = GRAMMAR.scales[test.scale] if test.scale else None
    if scale is None or scale.kind != "grades" or not GRAMMAR.sites_of(name):
        return
    grades = [grade for grade in scale.grades if grade[:1].isdigit()]
    for at, (site, spec) in enumerate(GRAMMAR.sites_of(name).items()):
        if spec.spoken and not spec.unsided:
            noun = f"{spec.spoken[0]} {test.after_site[0]}" if test.after_site else spec.spoken[0]
            for side in OTHER_SIDE:
                yield side, site, f"{side} {noun}", grades[at % len(grades)]


def _grades(name: str) -> Iterator[Subject]:
    for side, site, noun, grade in graded(name):
        words = {"name": noun, "grade": spoken(grade)}
        plain = f"{noun} {spoken(grade)}."
        yield Subject(name, side, words, plain, (name, site, side, grade), frozenset())


def _responses(name: str) -> Iterator[Subject]:
    """A response that has grades and can be absent: "right knee jerk"."""
    if "absent" in GRAMMAR.tests[name].values:
        for side, site, noun, grade in graded(name):
            plain = f"{noun} {spoken(grade)}."
            row = (name, site, side, grade)
            yield Subject(name, side, {"name": noun}, plain, row, frozenset({"absent"}))
