"""The senses of an utterance: terms of the grammar and closed classes, repairs, denied verbs."""

from __future__ import annotations

from collections.abc import Collection

from dictate.grammar.load import Grammar
from dictate.interpret.grades import GradeReader
from dictate.interpret.lexicon import Reading, Term, lexicon_of
from dictate.interpret.marks import Speaker
from dictate.interpret.repair import Repairer, announces
from dictate.interpret.tokens import Token, norms
from dictate.parse.items import CONTENT, ROLES, VERBS

#: Classes that are looked up where they are needed, and are no senses of their own.
APART = frozenset(VERBS) | {
    "noted", "auxiliary", "able", "negative", "between", "joining", "motion", "there",
    "those_begin", "those_noun", "those_alone", "edge_after", "everything", "not_got", "erase",
    "meant", "changing", "putting", "for_whom", "one_side", "interrupts", "addressed",
    "requesting",
    "there_is", "also_denied", "active", "out_of", "of_him", "filled_pause", "number_or_cry",
    "number_or_thing", "between_numbers", "only_place",
    "unclear_number", "left_hanging", "lessening", "comparative_weak",
    "comparative_increased",
}  # fmt: skip


class Senses:
    """The forms of a grammar and of the closed classes, found in tokens."""

    def __init__(self, grammar: Grammar) -> None:
        """Collect the forms of the grammar and of the closed classes."""
        self.grammar = grammar
        self.lexicon = lexicon_of(grammar).another()
        self._scales = {
            name: grammar.scales[t.scale] for name, t in grammar.tests.items() if t.scale
        }
        self.numbered = {name for name, t in grammar.tests.items() if t.numbered}
        self.numerals = {w.lower() for words in grammar.numbers.roman.values() for w in words}
        self._classes = {
            name: {norms(form) for form in forms} for name, forms in grammar.classes.items()
        }
        self._changes_nothing = {(word,) for word in grammar.harmless.words()}
        self._harmless = {
            key
            for name in ("joining", "seek")
            for key in self._classes.get(name, ())
            if len(key) == 1
        } | self._changes_nothing
        self._add_classes()
        self._grades = GradeReader(grammar)
        self._repairer = Repairer(self.lexicon, self._grades.words)
        talk = grammar.speech.talk
        self._labels: dict[str, Speaker] = {
            **{word.lower(): "examiner" for word in talk.examiner_labels},
            **{word.lower(): "patient" for word in talk.patient_labels},
        }
        self._plain = frozenset(word.lower() for word in talk.plain)
        self._closed = frozenset(grammar.classes)

    def forms(self, name: str) -> Collection[tuple[str, ...]]:
        """The folded forms of a closed class."""
        return self._classes.get(name, ())

    def _add_classes(self) -> None:
        for name, forms in self.grammar.classes.items():
            if name in APART:
                continue
            for form in forms:
                if name.startswith("like_"):
                    for reading in self.lexicon.readings.get(norms(name[5:].replace("_", " ")), ()):
                        self.lexicon.add(form, reading)
                elif name.startswith("as_"):
                    self.lexicon.add(form, Reading("value", name[3:]))
                elif name == "other_side":
                    self.lexicon.add(form, Reading("side", "other"))
                elif name == "that_side":
                    self.lexicon.add(form, Reading("side", "that"))
                elif name == "so_too":
                    self.lexicon.add(form, Reading("repeat", form))
                elif name == "both_sides":
                    self.lexicon.add(form, Reading("trails", "both"))
                else:
                    self.lexicon.add(form, Reading(name, form))
        for form in self.grammar.classes.get("joining", ()):
            if len(norms(form)) > 1:
                self.lexicon.add(form, Reading("glue", form))

    def _with_repairs(self, tokens: list[Token], terms: list[Term]) -> list[Term]:
        known = [t.norm in self._plain or (t.norm,) in self._harmless for t in tokens]
        fixed = [False] * len(tokens)
        some = False
        for term in terms:
            known[term.start : term.end] = [True] * (term.end - term.start)
            if any(ROLES.get(r.kind) in CONTENT for r in term.readings):
                fixed[term.start : term.end] = [True] * (term.end - term.start)
                some = True
            elif announces(term):
                fixed[term.start : term.end] = [True] * (term.end - term.start)
        if all(known) or not some:
            return terms
        found = self._repairer.find(tokens, known, fixed)
        kept = [t for t in terms if not any(t.start < r.end and r.start < t.end for r in found)]
        kept += [
            Term(r.start, r.end, r.form, self._repairer.readings(r.form), r.form) for r in found
        ]
        return sorted(kept, key=lambda term: term.start)

    def _with_sides(self, tokens: list[Token], terms: list[Term]) -> list[Term]:
        """ "Right then" opens an utterance; "on the right then" names a side: told by its place."""
        opening = True
        out: list[Term] = []
        for term in terms:
            words = tokens[term.start : term.end]
            glue = len(words) > 1 and all(r.kind == "glue" for r in term.readings)
            single = [self.lexicon.readings.get((t.norm,), []) for t in words]
            if glue and not opening and any(r.kind == "side" for rs in single for r in rs):
                out += [
                    Term(term.start + k, term.start + k + 1, words[k].norm, tuple(readings))
                    for k, readings in enumerate(single)
                    if readings
                ]
            else:
                out.append(term)
            opening = opening and all(ROLES.get(r.kind) not in CONTENT for r in term.readings)
        return out

    def _split_denials(self, tokens: list[Token], terms: list[Term]) -> list[Term]:
        """ "Was not obtainable": the "not" is of the value's own form, and no denial beside it."""
        words = [token.norm for token in tokens]
        out: list[Term] = []
        end = 0
        for term in terms:
            if term.start < end:
                continue
            longer = 0
            if term.end - term.start > 1 and any(r.kind == "deny" for r in term.readings):
                for n in (4, 3, 2):
                    key = tuple(words[term.end - 1 : term.end - 1 + n])
                    found = self.lexicon.readings.get(key, []) if len(key) == n else []
                    if any(r.kind in ("value", "sign", "not_tested", "unable") for r in found):
                        longer = n
                        break
            if longer:
                end = term.end - 1 + longer
                key = tuple(words[term.end - 1 : end])
                out.append(
                    Term(term.end - 1, end, " ".join(key), tuple(self.lexicon.readings[key]))
                )
                continue
            out.append(term)
        return out

    def _with_verbs(self, tokens: list[Token], terms: list[Term]) -> list[Term]:
        """ "Could not be made out", "don't see": a denied verb with its helpers is one term."""
        words = [token.norm for token in tokens]
        i, out = 0, list(terms)
        while i < len(words):
            group = self._verb_group(words, i)
            if group is None:
                i += 1
                continue
            end, verb, able = group
            over = [t for t in out if t.start < end and t.end > i]
            whole = any(
                t.end > end
                or (t.start <= i and t.end >= end and _valued(t))
                or (t.start < i and t.of_kind("denied"))  # "but didn't see any"
                for t in over
            )
            if not whole:
                out = [t for t in out if t not in over]
                out.append(
                    Term(i, end, " ".join(words[i:end]), (Reading("verb", verb, test=able),))
                )
            i = end
        return sorted(out, key=lambda term: term.start)

    def is_denied_look(self, words: list[str]) -> bool:
        """The words are a denied verb of looking ("could not elicit"), its helpers with it."""
        group = self._verb_group(words, 0)
        return group is not None and group[0] == len(words) and group[1] == "seek"

    def _at(self, words: list[str], i: int, name: str) -> int:
        """How many words from ``i`` are one form of a class, 0 for none."""
        forms = self._classes.get(name, ())
        return next(
            (n for n in (4, 3, 2, 1) if tuple(words[i : i + n]) in forms and i + n <= len(words)), 0
        )

    def _verb_group(self, words: list[str], i: int) -> tuple[int, str, str] | None:
        n = self._at(words, i, "denying")
        if n:
            able = self._at(words, i, "able")
            j = i + n
        else:
            n = self._at(words, i, "auxiliary")
            m = self._at(words, i + n, "negative") if n else 0
            if not m:
                return None
            able = self._at(words, i, "able")
            j = i + n + m
        while (k := self._at(words, j, "between")) and j < len(words):
            j += k
        longest = max(self._at(words, j, verb) for verb in VERBS)
        for verb in VERBS:
            if longest and (k := self._at(words, j, verb)) == longest:
                while (k2 := self._at(words, j + k, verb)) and verb == "seek":
                    k += k2
                return j + k, verb, "able" if able else ""
        return None


def _valued(term: Term) -> bool:
    return any(r.kind in {"value", "sign", "not_tested", "unable", "test"} for r in term.readings)
