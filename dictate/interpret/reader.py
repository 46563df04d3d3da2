"""One utterance to its sentences: a blank spaCy pipeline with components of ours.

``terms`` marks what the grammar knows, ``repairs`` brings back mangled words, ``grades`` puts
numbers together; then rules make statements of them. Nothing is filled in and nothing is
remembered from one utterance to the next.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

import spacy
from spacy.language import Language
from spacy.tokens import Doc

from dictate.grammar.load import Grammar
from dictate.interpret.accounts import STRANGE, goes_on, without_asides, without_other_parts
from dictate.interpret.address import address_of, is_question
from dictate.interpret.bothsides import closes_list
from dictate.interpret.clauses import clauses
from dictate.interpret.columns import Columns, in_columns
from dictate.interpret.comments import Comments
from dictate.interpret.grades import Grade, GradeReader
from dictate.interpret.in_context import in_context
from dictate.interpret.items import Item, items_of
from dictate.interpret.lexicon import Term, all_normal, lay_names, lexicon_of
from dictate.interpret.marks import Speaker, speaker_of, unmarked
from dictate.interpret.predicate import is_denied
from dictate.interpret.repair import Repair, Repairer, announces
from dictate.interpret.repaired import apart
from dictate.interpret.scope import parts
from dictate.interpret.settle import settle
from dictate.interpret.statement import Statement
from dictate.interpret.statements import statements_of
from dictate.interpret.tokens import Token, norms, sentences, tokenise
from dictate.interpret.told import Instructions, Told
from dictate.interpret.undone import told_why
from dictate.model import Utterance, UtteranceKind

_Marks = tuple[tuple[Token, ...], tuple[Term, ...], tuple[Grade, ...], tuple[Repair, ...]]
#: Texts of which is kept what the pipeline marked: those of a long examination, which are read
#: again whenever something before them is put right.
_REMEMBERED = 2048


@dataclass(slots=True)
class Sentence:
    """One sentence: its kind where it is talk, else its statements and the row they came from.

    ``question``: it asks the patient something, so that what follows may be the answer.
    """

    start: int
    end: int
    row: list[Item]
    talk: UtteranceKind | None = None
    question: bool = False
    statements: list[Statement] = field(default_factory=list)


@dataclass(slots=True)
class Reading:
    """What was read of one utterance; ``columns``: the order of pairs that holds after it.

    ``told``: the instruction to the patient with which it ends.
    """

    utterance: Utterance
    tokens: list[Token]
    sentences: list[Sentence]
    repairs: list[Repair]
    speaker: Speaker | None = None
    columns: Columns | None = None
    told: Told | None = None

    def chars(self, span: tuple[int, int]) -> tuple[int, int]:
        """A token span as characters of the utterance."""
        return self.tokens[span[0]].start, self.tokens[span[1] - 1].end

    def norms(self, span: tuple[int, int]) -> tuple[str, ...]:
        """The folded words of a token span."""
        return tuple(token.norm for token in self.tokens[span[0] : span[1]])

    def text(self, span: tuple[int, int]) -> str:
        """The words of a token span, as spoken."""
        start, end = self.chars(span)
        return self.utterance.text[start:end]


class Reader:
    """Reads utterances by one grammar."""

    def __init__(self, grammar: Grammar) -> None:
        """Build the lexicon and the pipeline once."""
        self.grammar = grammar
        self.lexicon = lexicon_of(grammar)
        self._instructions = Instructions(grammar, self.lexicon)
        self._grades = GradeReader(grammar)
        self._repairer = Repairer(self.lexicon, self._grades.words)
        talk = grammar.speech.talk
        self._labels: dict[str, Speaker] = {
            **{word.lower(): "examiner" for word in talk.examiner_labels},
            **{word.lower(): "patient" for word in talk.patient_labels},
        }
        self._lay = lay_names(grammar)
        self._harmless = grammar.harmless.words()
        self._comments = Comments(grammar)
        self._copula = frozenset(grammar.classes.get("copula", ()))
        self._signs = frozenset((*grammar.numbers.plus, *grammar.numbers.minus))
        self._present = frozenset(norms(w) for w in grammar.closed.classes.get("present", ()))
        self._plain = frozenset(word.lower() for word in talk.plain)
        self._nlp = _pipeline(self)
        self._marked = lru_cache(maxsize=_REMEMBERED)(self._mark)

    def read(
        self, utterance: Utterance, meant: bool = False, columns: Columns | None = None,
        whole: bool = False, told: Told | None = None,
    ) -> Reading:  # fmt: skip
        """Read one utterance; never fails, whatever the text holds.

        Args:
            utterance: The words.
            meant: The examiner says that it is a statement, so nothing of it is talk.
            whole: Comments, which state nothing, are to be in it as well.
            columns: The order in which a heading before it puts the halves of a pair.
            told: The instruction to the patient that ended the utterance before it.
        """
        who, label = speaker_of(utterance.text, self._labels)
        marks, after, told = self._marked(unmarked(utterance.text, label), columns, told)
        tokens, terms, grades, repairs = [*marks[0]], [*marks[1]], [*marks[2]], [*marks[3]]
        words = [token.norm for token in tokens]
        found: list[Sentence] = []
        account = False
        for start, end in sentences(tokens, utterance.text):
            row = without_asides(items_of(tokens, terms, grades, start, end))
            for item in row:
                if item.kind == "target" and self._copula.intersection(item.text.split(" ")):
                    item.others |= {"states"}  # "speech is fluent", as one form
                if item.kind == "target" and all_normal(item.of_kind("sign")):
                    item.others |= {"well"}  # "pupils normal", as one form
            row = row if meant or whole else self._comments.without(row)
            row = closes_list(self._complete_words(row))
            cuts = [
                (a + c, a + d) for a, b in clauses(row) for c, d in parts(row[a:b], self._present)
            ]
            cuts = [cut for a, b in cuts for cut in self._mended(row, a, b)]
            for a, b in cuts:
                account = not meant and goes_on(row[a:b], account)
                sentence = self._sentence(row[a:b], row[a].start, row[b - 1].end, words, meant)
                found.append(_retold(sentence) if account else sentence)
        return Reading(utterance, tokens, found, repairs, who, after, told)

    def _mark(
        self, text: str, columns: Columns | None, told: Told | None
    ) -> tuple[_Marks, Columns | None, Told | None]:
        """What the pipeline marks in a text, never changed."""
        tokens, told = self._instructions.read(tokenise(text), told)
        tokens, after = in_columns(tokens, columns, self.grammar)
        tokens = in_context(tokens, self.grammar)
        doc = Doc(self._nlp.vocab, words=[token.norm for token in tokens])
        doc.user_data["tokens"] = tokens
        marks = self._nlp(doc).user_data
        return (
            tuple(marks["tokens"]), tuple(marks["terms"]), tuple(marks["grades"]),
            tuple(marks["repairs"]),
        ), after, told  # fmt: skip

    def _mended(self, row: list[Item], a: int, b: int) -> list[tuple[int, int]]:
        """A correction after a statement is a sentence of its own."""
        at = apart(row[a:b], self._signs)
        return [(a, b)] if at is None else [(a, a + at), (a + at + 1, b)]

    def _sentence(
        self, row: list[Item], start: int, end: int, words: Sequence[str], meant: bool
    ) -> Sentence:
        row = told_why(row)
        settled = settle(without_other_parts(row), self.grammar, words)
        talk, after = (None, 0) if meant else address_of(row, self._lay)
        if any(_mends(item) for item in row) and not any("you" in item.others for item in row):
            talk = None
        if talk is None:
            statements = statements_of(self._coloured(_unopened(settled)))
            if row[-1].text == "?":
                _doubt_all(statements, row[-1])
            return Sentence(start, end, settled, statements=statements)
        rest = settle(without_other_parts(row[after:]), self.grammar, words)
        statements = statements_of(self._coloured(rest)) if rest else []
        question = talk == "to_patient" and not statements and is_question(row)
        # where a statement follows, what was said to the patient before it is no part of it
        return Sentence(start, end, rest if statements else settled, talk, question, statements)

    def statements(self, row: list[Item]) -> list[Statement]:
        """The statements of a settled row, whatever it was taken for."""
        return statements_of(self._coloured(row))

    def _coloured(self, row: list[Item]) -> list[Item]:
        """Words that change no meaning join like any other; what speaks of talk still sees them."""
        if not any(item.kind == "unknown" and item.text in self._harmless for item in row):
            return row
        return [
            replace(item, kind="glue")
            if item.kind == "unknown" and item.text in self._harmless and not is_denied(row, i)
            else item
            for i, item in enumerate(row)
        ]

    def _complete_words(self, row: list[Item]) -> list[Item]:
        """ "knee flexion and extension": a word alone is completed by the name before it."""
        last = ""
        for i, item in enumerate(row):
            if item.kind == "glue" and item.others and item.others <= STRANGE:
                item.kind = "unknown"
            if item.kind == "target":
                last = item.text
            elif item.kind in {"unknown", "value"} and last and _listed(row, i):
                form = (*last.split(" ")[:-1], item.text)
                readings = tuple(self.lexicon.readings.get(form, ())) if len(form) > 1 else ()
                wanted = {"site", "test"} if item.kind == "unknown" else {"site"}
                if any(reading.kind in wanted for reading in readings):
                    row[i] = Item("target", item.start, item.end, readings, text=" ".join(form))
            elif item.kind in {"stop", "colon"}:
                last = ""
        return self._complete_before(row)

    def _complete_before(self, row: list[Item]) -> list[Item]:
        """ "no limb or truncal ataxia": a word alone is completed by the name after it."""
        after = ""
        for i in range(len(row) - 1, -1, -1):
            item = row[i]
            if item.kind == "target":
                after = item.text if " " in item.text else after
            elif item.kind in _WORDS and after and row[i + 1].kind in {"and", "comma"}:
                form = (item.text, after.split(" ")[-1])
                readings = tuple(self.lexicon.readings.get(form, ()))
                named = {"test", "sign"} if item.kind == "unknown" else {"site"}
                if any(reading.kind in named for reading in readings):
                    row[i] = Item("target", item.start, item.end, readings, text=" ".join(form))
            elif item.kind not in {"and", "comma", "glue"}:
                after = ""
        return row

    def mark_terms(self, doc: Doc) -> Doc:
        """Component: what the grammar knows."""
        tokens: list[Token] = doc.user_data["tokens"]
        words = [token.text for token in tokens if token.text.isalpha()]
        long = [word for word in words if len(word) > 3]
        shouted = len(long) > 2 and all(word.isupper() for word in words)
        doc.user_data["terms"] = self.lexicon.find(tokens, shouted)
        return doc

    def mark_repairs(self, doc: Doc) -> Doc:
        """Component: mangled words. Only beside something of the examination."""
        tokens, terms = doc.user_data["tokens"], doc.user_data["terms"]
        repairs: list[Repair] = []
        known = [t.norm in self._plain or t.norm in self._harmless for t in tokens]
        fixed = [False] * len(tokens)
        for term in terms:
            known[term.start : term.end] = [True] * (term.end - term.start)
            if _of_examination(term) or announces(term):
                fixed[term.start : term.end] = [True] * (term.end - term.start)
        if not all(known) and any(_of_examination(term) for term in terms):
            repairs = self._repairer.find(tokens, known, fixed)
        kept = [t for t in terms if not any(t.start < r.end and r.start < t.end for r in repairs)]
        for repair in repairs:
            readings = self._repairer.readings(repair.form)
            kept.append(Term(repair.start, repair.end, repair.form, readings, repaired=repair.form))
        doc.user_data["terms"] = sorted(kept, key=lambda term: term.start)
        doc.user_data["repairs"] = repairs
        return doc

    def mark_grades(self, doc: Doc) -> Doc:
        """Component: numbers and grades; a term of plain joining words gives way to a grade."""
        terms: list[Term] = doc.user_data["terms"]
        strong = {i for term in terms if _holds_number(term) for i in range(term.start, term.end)}
        grades = self._grades.find(doc.user_data["tokens"], strong, terms)
        tokens: list[Token] = doc.user_data["tokens"]
        taken = {i for grade in grades for i in range(grade.start, grade.end)}
        whole = (
            term
            if taken.isdisjoint(range(term.start, term.end))
            else self.lexicon.cut(tokens, term, taken)
            for term in terms
        )
        doc.user_data["grades"] = grades
        doc.user_data["terms"] = [term for term in whole if term is not None]
        return doc


#: Kinds of a word that its neighbour may complete ("upper and lower face").
_WORDS = {"unknown", "quality", "detail"}


def _listed(row: list[Item], i: int) -> bool:
    """It comes after a comma or a joining word."""
    return i > 0 and row[i - 1].kind in {"and", "comma"}


def _of_examination(term: Term) -> bool:
    kinds = {reading.kind for reading in term.readings}
    return bool(kinds & {"site", "test", "after_site", "sign", "value", "side", "deny"})


def _holds_number(term: Term) -> bool:
    """A term that keeps its tokens from being a grade ("C5", "times three", "the two sides")."""
    kinds = {reading.kind for reading in term.readings}
    if term.end - term.start > 1 and any(reading.id == "frame" for reading in term.readings):
        return True
    return term.end - term.start > 1 and bool(
        kinds
        & {
            "site",
            "test",
            "after_site",
            "side",
            "sign",
            "value",
            "detail",
            "take_back",
            "quality",
            "elsewhere",
            "foreign",
        }
    )


def _unopened(row: list[Item]) -> list[Item]:
    """Leave out "right," and "okay, right," before a section's name: filler, not a side."""
    side = next((i for i, item in enumerate(row) if item.kind == "side"), None)
    if side is None or "opening" not in row[side].others:
        return row
    before = all(x.kind in {"glue", "comma"} or "opening" in x.others for x in row[:side])
    if not before or side + 1 >= len(row) or row[side + 1].kind != "comma":
        return row
    after = [
        item for item in row[side + 1 :] if item.kind not in {"glue", "comma", "stop", "colon"}
    ]
    names = after and all(item.kind in {"section"} or _names_test(item) for item in after)
    return row[side + 1 :] if names else row


def _retold(sentence: Sentence) -> Sentence:
    """What stands in an account ("review of systems: ...") is no statement of the examination."""
    return Sentence(sentence.start, sentence.end, sentence.row, sentence.talk or "remark")


def _doubt_all(statements: list[Statement], mark: Item) -> None:
    """A question mark at the end doubts all that stands before it."""
    for statement in statements:
        if not statement.doubts:
            statement.doubts.append((mark.start, mark.end))


def _mends(item: Item) -> bool:
    """Words put together to speak of a mistake: nobody says them to a patient, or as one."""
    framed = any(reading.id == "frame" for reading in item.readings)
    return framed and bool(item.others & {"wrong", "swap", "take_back", "whole_run", "changing"})


def _names_test(item: Item) -> bool:
    return item.kind == "target" and bool(item.of_kind("test")) and not item.of_kind("site")


def _pipeline(reader: Reader) -> Language:
    nlp = spacy.blank("en")

    for name in ("terms", "repairs", "grades"):
        component = getattr(reader, f"mark_{name}")
        Language.component(f"dictate_{name}_{id(reader)}", func=component)
        nlp.add_pipe(f"dictate_{name}_{id(reader)}")
    return nlp


@lru_cache(maxsize=4)
def reader_of(grammar: Grammar) -> Reader:
    """The reader of a grammar, built once."""
    return Reader(grammar)
