"""What was said beside the findings: words of an utterance that nothing in the record accounts for.

An utterance that gave a finding or a question may hold more: words that the grammar does not
know, or a statement that no test covers. The record keeps them in the utterance's text; the
examiner who signs sees them in the note, each in its clause. Joining words and fillers are left
out; talk with the patient and headings stand there only where they name a test, a sign, a site or
a grade that is in no finding.
"""

from __future__ import annotations

from collections.abc import Iterator

from dictate.grammar import Grammar
from dictate.interpret.items import Item
from dictate.interpret.reader import Reading, Sentence, reader_of
from dictate.interpret.runs import VALUED
from dictate.model import Place, Record

#: Characters, end exclusive.
Span = tuple[int, int]
#: Where a clause ends.
_ENDS = {"comma", "stop", "colon", "but", "except"}
#: Kinds that say something by themselves, whatever it is of.
_TELLING = VALUED | {"unknown", "repeat"}
#: Kinds that deny, or say that a thing was not done, of what is named beside them.
_DENIES = {"deny", "denied"}
#: What may be denied.
_NAMES = {"target", "edge_site", "side"}
#: A clause of fewer words is shown with the clause before it, without which it says little.
_SHORT = 3


def also_said(record: Record, grammar: Grammar) -> list[str]:
    """Lines for the note, each once: a clause in quotes, or some words and their clause.

    Args:
        record: What was found, asked and heard.
        grammar: Tells words that carry content from those that only join.
    """
    found = beside(record, grammar)
    return list(dict.fromkeys(line for lines in found.values() for line in lines))


def beside(record: Record, grammar: Grammar) -> dict[str, list[str]]:
    """The same lines by the id of the utterance that they are of.

    Args:
        record: What was found, asked and heard.
        grammar: Tells words that carry content from those that only join.
    """
    accounted: dict[str, list[Span]] = {}
    for place in _places(record):
        accounted.setdefault(place.utterance, []).append((place.start, place.end))
    tests = {finding.test for finding in record.findings}
    joining = _joining(grammar)
    lines: dict[str, list[str]] = {}
    for utterance in record.utterances:
        spans = accounted.get(utterance.id, [])
        if utterance.kind != "remark" and _is_open(utterance.text, spans, joining):
            reading = reader_of(grammar).read(utterance, whole=True)
            said = _Beside(grammar, reading, spans, tests)
            told = said.lines() if utterance.kind == "finding" else said.named()
            lines[utterance.id] = list(told)
    return lines


def _places(record: Record) -> Iterator[Place]:
    """Whatever gave a finding or a question, also one that is settled or taken back."""
    for finding in record.findings:
        yield from finding.said
    for question in record.questions:
        yield from question.about
    for change in record.history:
        yield from change.finding.said if change.finding else ()
        yield from change.question.about if change.question else ()


def _joining(grammar: Grammar) -> frozenset[str]:
    """Words that need not be shown, whatever stands beside them."""
    speech = grammar.speech
    return frozenset((*speech.glue, *speech.join, *speech.place, *speech.filler, *speech.idle))


def _is_open(text: str, spans: list[Span], joining: frozenset[str]) -> bool:
    """A word that does not only join is in no place; most utterances need no second reading."""
    for start, end in spans:
        text = text[:start] + " " * (end - start) + text[end:]
    words = (word.strip(".,;:!?()").lower() for word in text.split())
    return any(len(word) > 1 and word not in joining for word in words)


class _Beside:
    """What one utterance says beside its findings."""

    def __init__(
        self, grammar: Grammar, reading: Reading, spans: list[Span], tests: set[str]
    ) -> None:
        self._reading = reading
        self._spans = spans
        general = {name for name, spec in grammar.tests.items() if spec.gives_way}
        self._named = tests | general
        idle = (*grammar.speech.idle, *grammar.numbers.roman)
        self._idle = frozenset(word.lower() for word in idle)

    def lines(self) -> Iterator[str]:
        """One line for each clause that says more than the record holds."""
        for sentence in self._reading.sentences:
            if sentence.talk not in {"to_patient", "by_patient"}:
                yield from self._sentence(sentence)
            else:
                yield from self._named_in(sentence)

    def named(self) -> Iterator[str]:
        """Sentences of talk and headings that name a test, a sign, a site or a grade in vain.

        They changed nothing, and may have been meant to.
        """
        for sentence in self._reading.sentences:
            yield from self._named_in(sentence)

    def _named_in(self, sentence: Sentence) -> Iterator[str]:
        names = {"target", "edge_site", "grade"}
        if any(item.kind in names and self._content(item) for item in sentence.row):
            yield f'"{self._text(sentence.start, sentence.end).rstrip(" .;")}"'

    def _sentence(self, sentence: Sentence) -> Iterator[str]:
        rows = _clauses(sentence.row)
        if not any(self._accounted(item) for row in rows for item in row):
            if any(self._tells(row) for row in rows):
                text = self._text(sentence.start, sentence.end)
                yield f'"{text.rstrip(" .;")}"'
            return
        for i, row in enumerate(rows):
            whole = f'"{self._text(row[0].start, row[-1].end)}"'
            if not any(self._accounted(item) for item in row):
                short = i and row[-1].end - row[0].start < _SHORT
                context = self._text(rows[i - short][0].start, row[-1].end)
                tells = self._tells(row) or (i and any(item.kind == "side" for item in row))
                if tells and row[-1].kind != "colon":
                    yield f'{whole} in "{context}"' if short else whole
            elif not self._heads(row) and (words := self._words(row)):
                yield f"{words} in {whole}"

    def _heads(self, row: list[Item]) -> bool:
        """A heading, of which a part is in what follows ("power in the right arm:")."""
        content = (item.kind for item in row[:-1] if self._content(item))
        return row[-1].kind == "colon" and {*content} <= {"target", "side"}

    def _accounted(self, item: Item) -> bool:
        if item.end <= item.start:
            return False
        start, end = self._reading.chars((item.start, item.end))
        return any(a < end and start < b for a, b in self._spans)

    def _tells(self, row: list[Item]) -> bool:
        said = {item.kind for item in row if self._content(item)}
        named = {item.kind for item in row if item.end > item.start and not self._accounted(item)}
        return bool(said & _TELLING or (said & _DENIES and named & _NAMES))

    def _content(self, item: Item) -> bool:
        """It says something, and is in no place of the record."""
        if item.end <= item.start or self._accounted(item):
            return False
        if item.kind == "unknown":
            words = self._reading.norms((item.start, item.end))
            return any(len(w) > 1 and w.isalpha() and w not in self._idle for w in words)
        if item.kind == "value":
            common = {r.id for r in item.of_kind("value") if not r.test}
            return not (item.others & {"both_after"} or common == {"present"})
        if item.kind == "target":
            names = {reading.test for reading in item.of_kind("test", "after_site")}
            return bool(item.of_kind("site", "sign")) or not names & self._named
        return item.kind in VALUED | {"deny", "denied", "doubt", "side", "repeat"}

    def _words(self, row: list[Item]) -> str:
        """The words of a clause that nothing accounts for, with what joins them."""
        runs: list[list[int]] = []
        joined = False
        for item in row:
            if self._content(item):
                if joined:
                    runs[-1][1] = item.end
                else:
                    runs.append([item.start, item.end])
                joined = True
            elif self._accounted(item):
                joined = False
        return ", ".join(f'"{self._text(*run)}"' for run in runs)

    def _text(self, start: int, end: int) -> str:
        return " ".join(self._reading.text((start, end)).split())


def _clauses(row: list[Item]) -> list[list[Item]]:
    """Cut at commas and stops; a colon stays with the heading that it ends."""
    rows: list[list[Item]] = [[]]
    for item in row:
        if item.kind == "colon":
            rows[-1].append(item)
        if item.kind in _ENDS:
            rows.append([])
        else:
            rows[-1].append(item)
    return [row for row in rows if row]
