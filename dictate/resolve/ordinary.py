"""Words of the examination that anybody uses, in a sentence about something else.

"The disks are full", "object oriented design", "delusions are often functional": the first words
of a narration that could be anything are taken for a statement only where something else speaks
for one. Once a finding was made, the narration is of an examination, and nothing is asked of them.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from dictate.grammar.load import Grammar
from dictate.interpret.items import Item
from dictate.interpret.lexicon import lay_names
from dictate.interpret.reader import Reading, Sentence
from dictate.interpret.statement import Span, Statement
from dictate.interpret.tokens import norms

#: What belongs to a statement, and what else may stand in it.
_SAYS = frozenset(
    {"target", "edge_site", "value", "side", "deny", "not_tested", "both_after", "pseudo"}
    | {"denied", "unable"}
)
#: What makes it one about something else; nothing was found yet that could be corrected.
_ODD = frozenset({"unknown", "talk", "replace", "take_back"})
_CORRECTS = frozenset({"replace", "take_back"})
#: Who speaks of "you" or "me" states nothing; who speaks of the patient or an exam examines.
_PERSON = frozenset({"you", "own"})
_CLINIC = frozenset({"clinic", "exam"})
#: So many words of a statement let one odd word stand among them, and so many odd words may stand
#: in other parts of the sentence, between other commas. Chosen on dictated passages and on English.
_KNOWN_EACH, _MOST_OUTSIDE = 3, 3
#: Too many, whatever else is said.
_MANY = 9


class Ordinary:
    """Tells by one grammar which words are anybody's, and where they state nothing."""

    def __init__(self, grammar: Grammar) -> None:
        """Collect the words that lay people use as well.

        Args:
            grammar: Its ``lay``, ``lay_values`` and ``ordinary`` words are anybody's.
        """
        self.grammar = grammar
        speech = grammar.speech
        self._lay = lay_names(grammar)
        self._lay_values = {norms(form) for form in speech.talk.lay_values}
        ordinary = {norms(form) for form in speech.talk.ordinary}
        self._anybody = self._lay | self._lay_values | ordinary
        small = (*speech.glue, *speech.not_done.unable, *speech.negation.before)
        self._small = {w for form in small for w in norms(form) if (w,) not in self._lay}
        self._grades = {text for scale in grammar.scales.values() for text in scale.grades}
        self._never = {name: {norms(w) for w in test.never} for name, test in grammar.tests.items()}

    def stray(self, reading: Reading, sentence: Sentence, st: Statement) -> int:
        """How many words too many there are for a statement in words that anybody uses.

        None, where a word of the trade, a side or a grade as only a scale has it stands in the
        sentence. With one too many it may be asked about, with more it is a remark.

        Args:
            reading: The utterance it stands in.
            sentence: The sentence it stands in.
            st: A statement of a narration in which nothing was found yet.
        """
        if sentence.talk is not None or not (st.targets or st.values):
            return 0
        said = [st] if st.targets else sentence.statements
        spans = _spans(said)
        row = _before_reason(sentence.row, spans)
        back = [mended(reading, item) for item in row]
        inside = _own_parts(row, spans)
        unsure = any(back[i] and row[i].kind == "value" for i in inside)
        if any(self._examines(row, i, back[i], unsure) for i in range(len(row))):
            return 0
        corrects = not st.targets and st.link in _CORRECTS
        odd = _ODD - _CORRECTS if corrects else _ODD
        strange = [
            (item.kind in odd and "foreign" not in item.others) + 2 * b
            for item, b in zip(row, back, strict=True)
        ]
        if any(
            row[i].others & _PERSON or _of_speaker(row, i) or _compound(reading, row, i)
            for i in inside
        ):
            return _MANY
        within = sum(strange[i] for i in inside if not _listed(row, i))
        named = {i + 1 for i in inside if row[i].kind == "target"}
        within += sum(self._on_no_scale(row[i]) for i in inside & named)
        without = sum(bool(strange[i]) for i in range(len(row)) if i not in inside)
        known = sum(self._is_said(row[i], said) and not back[i] for i in inside)
        known += _shape([row[i] for i in sorted(inside)])
        opens = 0 in inside and bool(st.targets) and bool(st.values)  # "Intact naming, but ..."
        valued = st.has_value or any(r.id for target in st.targets for r in target.tests)
        most = _MOST_OUTSIDE * (1 + opens) if valued else 0
        return max(0, within - known // _KNOWN_EACH) + max(0, without - most)

    def unsaid(self, reading: Reading, st: Statement) -> bool:
        """ "The disk is full": nobody says such a word of that test.

        Args:
            reading: The utterance it stands in.
            st: A statement.
        """
        names = [r.test for target in st.targets for r in target.tests]
        said = [reading.norms(span) for value in st.values for span in value.spans]
        return bool(names and said) and all(w in self._never[name] for name in names for w in said)

    def _examines(self, row: Sequence[Item], i: int, back: bool, unsure: bool) -> bool:
        """Only who examines says it; ``unsure``: a side may be a part of a mangled word."""
        item = row[i]
        if item.others & _CLINIC:
            return True
        if "section" in item.others and any(after.text == ":" for after in row[i + 1 : i + 2]):
            return True
        if item.kind in {"target", "value"}:
            return not (back or self._anybodys(norms(item.text)))
        if item.kind == "side":
            return not unsure and any(r.id in {"right", "left"} for r in item.of_kind("side"))
        if item.kind == "grade" and item.grade is not None:
            grade = item.grade
            ranged = grade.until is not None and not grade.until.isdigit()
            signed = bool(grade.sign) and not grade.plusses
            return signed or ranged or grade.of in self.grammar.denominators
        return item.kind == "section"

    def _is_said(self, item: Item, said: Sequence[Statement]) -> bool:
        """It belongs to what is said; a detail only where it is one of a test that is named."""
        if item.grade is not None:
            within = any(a < item.end and item.start < b for a, b in _spans(said))
            return within and not self._on_no_scale(item)
        tests = {r.test for st in said for t in st.targets for r in (*t.tests, *t.signs)}
        return item.kind in _SAYS or any(r.test in tests for r in item.of_kind("detail"))

    def _on_no_scale(self, item: Item) -> bool:
        """A bare number that is no grade of anything ("Position 18")."""
        grade = item.grade
        if grade is None or grade.of or grade.unit or grade.until or grade.counts:
            return False
        return grade.text not in self._grades

    def _anybodys(self, words: tuple[str, ...]) -> bool:
        """An ordinary name or value, or one such word with small ones ("cannot smell")."""
        telling = [word for word in words if word not in self._small]
        alone = len(telling) < 2 and all((word,) in self._anybody for word in telling)
        return alone or words in self._anybody


def mended(reading: Reading, item: Item) -> bool:
    """The item was brought back from other letters, not only from a word cut in two.

    Args:
        reading: The utterance it stands in.
        item: One of its items.
    """
    for repair in reading.repairs:
        if repair.start < item.end and item.start < repair.end:
            letters = "".join(reading.norms((repair.start, repair.end)))
            return letters != repair.form.replace(" ", "")
    return False


def _spans(said: Sequence[Statement]) -> list[Span]:
    """Where statements name things and values."""
    spans = [span for st in said for target in st.targets for span in target.spans]
    return spans + [span for st in said for value in st.values for span in value.spans]


def _before_reason(row: Sequence[Item], spans: Sequence[Span]) -> Sequence[Item]:
    """A sentence up to the reason that it gives: "not tested because of the noise"."""
    first = min((start for start, _ in spans), default=0)
    reasons = (i for i, item in enumerate(row) if item.kind == "reason" and item.start > first)
    return row[: next(reasons, len(row))]


def _own_parts(row: Sequence[Item], spans: Sequence[Span]) -> set[int]:
    """The items between the same commas (or "but") as what is said there."""
    found: set[int] = set()
    part: set[int] = set()
    own = False
    for i, item in enumerate(row):
        if item.kind in {"comma", "but"}:
            found |= part if own else set()
            part, own = set(), False
            continue
        part.add(i)
        own = own or any(start < item.end and item.start < end for start, end in spans)
    return found | part if own else found


def _of_speaker(row: Sequence[Item], i: int) -> bool:
    """ "If I could read": what the speaker does, and not what is found."""
    return "first" in row[i].others and any(x.kind == "target" for x in row[i + 1 : i + 2])


def _compound(reading: Reading, row: Sequence[Item], i: int) -> bool:
    """ "MS-DOS", "task-oriented": a hyphen makes one word of a name and one that nobody knows."""
    if i == 0 or not reading.tokens[row[i].start].hyphen:
        return False
    kinds = {row[i - 1].kind, row[i].kind}
    return "target" in kinds and bool(kinds & {"unknown", "detail"})


def _listed(row: Sequence[Item], i: int) -> bool:
    """ "Good articulation and (a word nobody knows)": one more of what a value was said of."""
    before = i - 1
    while before >= 0 and row[before].kind == "and":
        before -= 1
    if before < 1 or before == i - 1 or row[before].kind not in {"target", "detail"}:
        return False
    return any(item.kind in {"value", "deny"} for item in row[:before])


def _shape(row: Sequence[Item]) -> int:
    """What the shape of a statement counts for, in words of it.

    A name and a value right beside each other ("smell intact to coffee"), and a sign that the
    sentence ends on ("Mr Smith is alert").
    """
    telling = [item for item in row if item.kind not in {"glue", "degree", "stop"}]
    beside = any({a.kind, b.kind} == {"target", "value"} for a, b in pairwise(telling))
    ends = bool(telling) and bool(telling[-1].of_kind("sign"))
    copula = any("hesitation" in a.others and b is telling[-1] for a, b in pairwise(row) if telling)
    return 2 if ends and copula else int(beside)
