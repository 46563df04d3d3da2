"""Each form of correction over each kind of finding, after one finding and a list of three."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache

from dictate.grammar import schema
from dictate.model import OTHER_SIDE

from .lines import Mark, subjects_of
from .subjects import GRAMMAR, SIGNS, Row, Subject, data, hear, rows, spoken


@dataclass(frozen=True)
class Stated:
    """A finding as it is said, and another value that it may be corrected to: words and value."""

    text: str
    row: Row
    old: str = ""
    other: tuple[str, str] | None = None


@dataclass(frozen=True)
class Corrected:
    """Findings, the words that correct them, and the records that may come of it."""

    form: str
    way: str
    stated: tuple[Stated, ...]
    lines: tuple[str, ...]
    accepted: tuple[frozenset[Row], ...]

    @property
    def said(self) -> str:
        """As a list shows it."""
        return " / ".join(self.lines)

    @property
    def before(self) -> frozenset[Row]:
        """The findings as they were."""
        return frozenset(one.row for one in self.stated)


@dataclass(frozen=True)
class JudgedCorrection:
    """What became of one; ``as_before``: nothing changed, and nothing was asked."""

    line: Corrected
    mark: Mark
    as_before: bool
    found: tuple[Row, ...]


def forms() -> list[str]:
    """The forms of correction."""
    return list(data()["corrections"])


@cache
def stated() -> tuple[Stated, ...]:
    """A finding of each kind: every grade scale at some sites, and one value of every test."""
    found = [*_graded(), *_worded()]
    return tuple(s for s in found if rows(hear(s.text)) == [s.row] and not hear(s.text).questions)


def _graded() -> Iterator[Stated]:
    for name, test in GRAMMAR.tests.items():
        scale = GRAMMAR.scales[test.scale] if test.scale else None
        if scale is None or scale.kind != "grades" or not GRAMMAR.sites_of(name):
            continue
        grades = [g for g in scale.grades if g[:1].isdigit()]
        sites = [
            (site, spec.spoken[0])
            for site, spec in GRAMMAR.sites_of(name).items()
            if spec.spoken and not spec.unsided
        ]
        for at, (site, word) in enumerate(sites[:6]):
            grade, other = grades[-2 - at % 3], grades[-1 - at % 2]
            if grade == other:
                continue
            for side in OTHER_SIDE:
                yield Stated(
                    f"{side} {_site_words(test, word)} {spoken(grade)}",
                    (name, site, side, grade), spoken(grade), (spoken(other), other),
                )  # fmt: skip


def _site_words(test: schema.Test, site: str) -> str:
    return f"{site} {test.after_site[0]}" if test.after_site else site


def _worded() -> Iterator[Stated]:
    """One value of each test in a word, with another to correct it to."""
    seen: set[tuple[str, str | None]] = set()
    for subject in (*subjects_of("sign"), *subjects_of("value")):
        if (subject.test, subject.side) in seen:
            continue
        seen.add((subject.test, subject.side))
        words = subject.words
        text = f"{words['sign']}{words['where']}" if "sign" in words else subject.plain.rstrip(".")
        normal = _normal_word(subject)
        yield Stated(text, subject.row, subject.words.get("value", "present"), normal)


def _normal_word(subject: Subject) -> tuple[str, str] | None:
    test = GRAMMAR.tests[subject.test]
    value = next((v for v, spec in test.values.items() if spec.normal is True), None)
    if value is None or value == subject.row[3]:
        return None
    return value.replace("_", " "), value


def _lists() -> Iterator[tuple[Stated, ...]]:
    """Each finding alone, and as the last of three of one side."""
    every = stated()
    for at, one in enumerate(every):
        yield (one,)
        same = [s for s in every if s.row[2] == one.row[2] and _apart(s, one)]
        start = at % max(1, len(same) - 1)
        two = same[start : start + 2]
        if len(two) == 2 and _apart(*two):
            yield (*two, one)


def _apart(one: Stated, other: Stated) -> bool:
    return one.row[:3] != other.row[:3] and (one.row[1] is not None or one.row[0] != other.row[0])


def lines(form: str) -> Iterator[Corrected]:
    """All lines of a form: as a sentence of its own line, and at the end of the same utterance."""
    for said in _read_lists():
        for way in data()["corrections"][form]:
            made = _made(form, way, said)
            if made is None:
                continue
            words, accepted = made
            before = ", ".join(s.text for s in said)
            before = before[0].upper() + before[1:]
            for lines_ in ((f"{before}.", words), (f"{before}, {words[0].lower()}{words[1:]}",)):
                yield Corrected(form, way, said, lines_, accepted)


@cache
def _read_lists() -> tuple[tuple[Stated, ...], ...]:
    """Lists that are read as what they say, so that only the correction is judged."""
    found = []
    for said in _lists():
        record = hear(", ".join(s.text for s in said) + ".")
        if frozenset(rows(record)) == frozenset(s.row for s in said) and not record.questions:
            found.append(said)
    return tuple(found)


def _made(
    form: str, way: str, said: Sequence[Stated]
) -> tuple[str, tuple[frozenset[Row], ...]] | None:
    """The words, and what may be right; None where the form does not go with the finding."""
    last = said[-1]
    side = last.row[2]
    slots = {"side": side, "other": OTHER_SIDE.get(side or ""), "old": last.old}
    rest = frozenset(s.row for s in said[:-1])
    turned = frozenset(_turned(s.row) for s in said)
    if form in ("side", "wrong_side", "all_sides"):
        if side is None:
            return None
        one = rest | {_turned(last.row)}
        accepted = (turned,) if form == "all_sides" else (one, turned)
    elif form == "take_back":
        accepted = (rest, frozenset())
    elif last.other is None or not last.old:
        return None
    elif form == "value":
        slots["value"] = last.other[0]
        accepted = (rest | {(*last.row[:3], last.other[1])},)
    else:
        grade = last.row[3]
        turned_sign = {"+": "-", "-": "+"}.get(grade[-1:])
        test = GRAMMAR.tests[last.row[0]]
        scale = GRAMMAR.scales[test.scale] if test.scale else None
        if turned_sign is None or scale is None or grade[:-1] + turned_sign not in scale.grades:
            return None
        slots |= {"sign": SIGNS[turned_sign], "unsign": SIGNS[grade[-1:]]}
        accepted = (rest | {(*last.row[:3], grade[:-1] + turned_sign)},)
    words = way.format(**slots)
    return words[0].upper() + words[1:], accepted


def _turned(row: Row) -> Row:
    test, site, side, value = row
    return test, site, OTHER_SIDE.get(side or "", side), value


def judge(line: Corrected) -> JudgedCorrection:
    """Say it, and judge: corrected or asked is fine, as before without a question never."""
    record = hear(*line.lines)
    found = frozenset(rows(record))
    possible = line.before.union(*line.accepted)
    as_before = found == line.before and not record.questions
    if found in line.accepted and not record.questions:
        mark: Mark = "right"
    elif not found <= possible or as_before or len(found) > len(line.before):
        mark = "wrong"
    else:
        mark = "asked" if record.questions else "lost"
    return JudgedCorrection(line, mark, as_before, tuple(sorted(found, key=str)))
