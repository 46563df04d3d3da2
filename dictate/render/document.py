"""The note before it is text, Markdown, Word or a page: its parts in their order.

The order: whether it is signed, what came after the signature, what must be settled, the findings,
what was said and is in no finding, notices, what no finding was recorded for, the signature.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from dictate.grammar import Grammar, schema
from dictate.grammar.names import NOT_DONE, listed
from dictate.model import Place, Question, Record
from dictate.render.addenda import write_addenda
from dictate.render.also_said import beside
from dictate.render.excepting import summary_of
from dictate.render.parts import Part
from dictate.render.sections import write_sections
from dictate.render.standing import HASHES, one_line, state_words, when

__all__ = ["Document", "Part", "Silence", "not_mentioned", "write_document"]

TITLE = "Examination note"
#: How a note opens that nobody signed, and what every note says of itself.
DRAFT = "Draft for the examiner to check and sign."
CAUTION = "It makes no diagnosis. Not a medical device."
#: Of the findings, where addenda came later.
AS_SIGNED = "Below the addenda stands the note as it was signed."
BLANK = "______________________________"
SIGNATURE = f"Checked and signed: {BLANK}    Date: ________________"
NOTHING = "No findings are recorded."


@dataclass(frozen=True, slots=True)
class Document:
    """The whole note. ``patient``: a line on whose it is, blank where nobody knows yet.

    ``signed``: who signed and when, and the hashes, or the line to sign.
    """

    parts: tuple[Part, ...]
    caution: str
    patient: str
    known_patient: bool
    signature: str
    title: str = TITLE


def write_document(record: Record, grammar: Grammar) -> Document:
    """Put the note together.

    Args:
        record: What was found, asked and heard.
        grammar: Gives the areas, their order and all words.
    """
    texts = {utterance.id: utterance.text for utterance in record.utterances}
    parts = [*write_addenda(record, grammar), _part("To be settled", _to_settle(record, texts))]
    parts += _findings(record, grammar)
    parts.append(_part("Said, and in no finding", _left_over(record, grammar)))
    parts.append(_part("Notices", map(one_line, record.notices)))
    silent = _silent(record, grammar)
    parts.append(Part("", (silent,) if silent else ()))
    kept = record.examined
    return Document(
        tuple(part for part in parts if part.items or part.paragraphs),
        _caution(record),
        _patient(record),
        kept is not None and bool(kept.patient.strip()),
        _signature(record),
    )


def _caution(record: Record) -> str:
    signature = record.examined.signature if record.examined else None
    state = f"{state_words(record)}." if signature else DRAFT
    later = f" {AS_SIGNED}" if record.examined and record.examined.addenda else ""
    return f"{state}{later} {CAUTION}"


def _patient(record: Record) -> str:
    kept = record.examined
    patient = one_line(kept.patient) if kept else ""
    examined = when(kept.at) if kept and kept.at else ""
    return f"Patient: {patient or BLANK}    Examined: {examined or '________________'}"


def _signature(record: Record) -> str:
    signature = record.examined.signature if record.examined else None
    if signature is None:
        return SIGNATURE
    if not signature.holds:
        return f"{state_words(record)}.    {SIGNATURE}"
    return (
        f"Checked and signed: {one_line(signature.by)}    Date: {when(signature.at)}    "
        f"Record {signature.record_sha256}, note {signature.note_sha256}. {HASHES}"
    )


def _findings(record: Record, grammar: Grammar) -> list[Part]:
    sections = write_sections(record, grammar)
    if not sections:
        return [Part("Findings", (NOTHING,))]
    return [
        Part(
            section.heading,
            tuple(" ".join(f"{s.text}." for s in row) for row in section.paragraphs),
        )
        for section in sections
    ]


def _part(heading: str, items: Iterable[str]) -> Part:
    return Part(heading, items=tuple(items))


def _left_over(record: Record, grammar: Grammar) -> list[str]:
    """Remarks, and words beside a finding, in the order in which they were spoken."""
    inside = beside(record, grammar)
    rows: dict[str, None] = {}
    for utterance in record.utterances:
        # what nothing has judged yet is no more left out than a remark
        if utterance.kind in ("remark", None) and utterance.text.strip():
            rows[f'"{one_line(utterance.text)}"'] = None
        rows |= dict.fromkeys(inside.get(utterance.id, ()))
    return [*rows]


def _to_settle(record: Record, texts: dict[str, str]) -> list[str]:
    """Every question that is open, each once, and those that were passed over."""
    passed = {
        change.question.id: change.question
        for change in record.history
        if change.what == "skipped" and change.question is not None
    }
    answered = {c.question.id for c in record.history if c.what == "answered" and c.question}
    now = [question.id for question in record.questions]
    lines = [_question(question, texts, question.id in passed) for question in record.questions]
    gone = [q for key, q in passed.items() if key not in now and key not in answered]
    return list(dict.fromkeys([*lines, *(_question(q, texts, True) for q in gone)]))


def _question(question: Question, texts: dict[str, str], passed: bool) -> str:
    """The prompt, the words that it is about, and whether somebody left it open."""
    words = dict.fromkeys(_quoted(place, texts) for place in question.about)
    said = ", ".join(f'"{text}"' for text in words if text)
    more = [*([f"said: {said}"] if said else []), *(["left open"] if passed else [])]
    prompt = one_line(question.prompt)
    return f"{prompt} ({'; '.join(more)})" if more else prompt


def _quoted(place: Place, texts: dict[str, str]) -> str:
    return one_line(texts.get(place.utterance, "")[place.start : place.end])


@dataclass(frozen=True, slots=True)
class Silence:
    """Usual parts that no finding was recorded for, by name.

    Attributes:
        rest: Those that nothing covers.
        summed: Those of an area whose summary was recorded ("cranial nerves normal"), by the name
            of the summary: the summary was said, they were not, and only the examiner knows
            whether it covers them.
    """

    rest: tuple[str, ...]
    summed: tuple[tuple[str, tuple[str, ...]], ...]

    @property
    def phrases(self) -> tuple[str, ...]:
        """Each part, or each summary with its parts, in words."""
        return (
            *self.rest,
            *(f"one by one, only as {name}: {', '.join(parts)}" for name, parts in self.summed),
        )


def not_mentioned(record: Record, grammar: Grammar) -> Silence:
    """The usual parts that no finding was recorded for, and that no question is about.

    Args:
        record: What was found and asked.
        grammar: Knows which parts are usual.
    """
    touched = {finding.test for finding in record.findings}
    touched |= _asked(record)
    carried_out = {found.test for found in record.findings if found.value not in NOT_DONE}
    for test in carried_out:
        touched.update(grammar.tests[test].covers)
    rest: list[str] = []
    under: dict[str, list[str]] = {}
    for test, spec in grammar.tests.items():
        summary = summary_of(grammar, test)
        # what sums up others is not missing where one of them was mentioned
        parts_of = {*spec.covers, *(grammar.area_of(test).tests if test == summary else ())}
        if not spec.usual or touched & {test, *parts_of}:
            continue
        summed = summary in carried_out
        (under.setdefault(summary, []) if summed else rest).append(spec.name)
    return Silence(
        tuple(rest),
        tuple((grammar.tests[summary].name, tuple(names)) for summary, names in under.items()),
    )


def _silent(record: Record, grammar: Grammar) -> str | None:
    """The line on what no finding was recorded for, by section, so that it stays short."""
    found = not_mentioned(record, grammar)
    touched = {finding.test for finding in record.findings} | _asked(record)
    whole: list[str] = []
    parts: list[str] = []
    for area in grammar.areas:
        usual = [spec for spec in area.tests.values() if spec.usual]
        missing = [spec.name for spec in usual if spec.name in found.rest]
        heading = area.heading.note
        name = heading if heading.isupper() else heading[:1].lower() + heading[1:]
        if missing and len(missing) == len(usual) and not touched & set(area.tests):
            whole.append(name)
        elif missing:
            parts.append(listed(missing))
    named = [", ".join(whole)] if whole else []
    under: list[str] = []
    only_whole: list[str] = []
    for name, names in found.summed:
        area = next(area for area in grammar.areas if names[0] in _usual(area, but=name))
        every = len(names) == len(_usual(area, but=name))
        (only_whole if every else under).append(name if every else f"{name}: {', '.join(names)}")
    if only_whole:
        parts.append(f"the single parts of {listed(only_whole)} (said only as a whole)")
    if under:
        parts.append(f"said only as a whole: {'; '.join(under)}")
    rows = [*named, *parts]
    return f"No finding recorded for: {'; '.join(rows)}." if rows else None


def _usual(area: schema.Area, but: str) -> list[str]:
    """Names of the usual tests of an area, but for its summary."""
    return [spec.name for spec in area.tests.values() if spec.usual and spec.name != but]


def _asked(record: Record) -> set[str]:
    """The tests that an open question is about."""
    return {
        found.test
        for question in record.questions
        for choice in question.choices
        for found in choice.findings
    }
