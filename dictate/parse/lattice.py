"""Text to a row of items: each stretch of tokens with every role that its senses allow.

spaCy carries the tokens and finds the terms; nothing is chosen here. What a word may be (a site, a
value, a denial) is settled by the chart; a word that nobody knows stays one, and is accounted for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from spacy.tokens import Doc

from dictate.grammar.load import Grammar
from dictate.interpret.grades import Grade, GradeReader
from dictate.interpret.lexicon import Lexicon, Reading, Term
from dictate.interpret.marks import Speaker, speaker_of, unmarked
from dictate.interpret.repair import Repairer
from dictate.interpret.tokens import Token, norms, tokenise
from dictate.model import Utterance

#: Which roles a sense may play in a statement. What is not listed plays none ("misc").
ROLES: dict[str, str] = {
    "test": "TEST", "after_site": "TEST", "site": "SITE", "sign": "SIGN",
    "value": "VALUE", "grade_word": "VALUE", "trouble": "TROUBLE", "side": "SIDE", "trails": "SIDE",
    "both_after": "ALIKE", "deny": "DENY", "neither": "DENY", "denying": "DENY", "denied": "DENIED",
    "not_tested": "NOTDONE", "unable": "NOTDONE", "pseudo": "UNKNOWN", "exception": "EXCEPT",
    "contrast": "BUT", "join": "AND", "either": "AND", "repeat": "REPEAT", "take_back": "TAKEBACK",
    "replace": "REPLACE", "swap": "SWAP", "reason": "REASON", "opinion": "REASON",
    "doubt": "DOUBT", "request": "DOUBT", "detail": "DETAIL", "direction": "DETAIL", "part": "PART",
    "section": "SECTION", "compare": "COMPARE", "edge": "EDGE", "quality": "DETAIL",
    "degree": "DEGREE", "rest": "REST", "place": "PREP", "foreign": "UNKNOWN",
    "limb_part": "DETAIL", "range": "RANGE", "circumstance": "ASIDE", "past": "ASIDE",
    "condition": "ASIDE", "hearsay": "ASIDE", "another": "ASIDE", "expectation": "ASIDE",
    "elsewhere": "ASIDE", "reported": "ASIDE", "ended": "DENIED", "failing": "DENY", "missed": "UNKNOWN",
    "other_part": "UNKNOWN", "symptom": "UNKNOWN", "instruct": "TALK", "you": "TALK", "ask": "TALK",
    "account": "ASIDE", "own": "OWN", "cue": "CUE", "cue_weak": "CUE", "flip": "SWAP", "all_of_it": "CUE", "announce": "ANNOUNCE",
    "becomes": "RANGE",
}  # fmt: skip
#: Roles of content: what has one of these is no mere joining word.
CONTENT = frozenset({"TEST", "SITE", "SIGN", "VALUE", "SIDE", "NOTDONE", "DENY", "DENIED"})
_MARKS = {",": "COMMA", ":": "COLON", ";": "STOP", ".": "STOP", "!": "STOP", "?": "STOP"}
_SIGNS = frozenset('()[]"“”*#-–=~_|…')
#: Kinds of senses that are weaker than any sense of the examination in the same word.
_WEAK = frozenset({"MISC", "TALK", "OWN"})
_NAMES = {"TEST", "SITE", "SIGN"}
_VERBS = ("seek", "examine", "perceive", "show")


@dataclass(slots=True)
class Item:
    """A stretch of tokens (``start``, ``end``) and the roles that it may play."""

    start: int
    end: int
    text: str
    roles: tuple[str, ...]
    readings: tuple[Reading, ...] = ()
    grade: Grade | None = None
    verb: str = ""
    able: bool = False

    def of_kind(self, *kinds: str) -> tuple[Reading, ...]:
        """Its senses of some kinds."""
        return tuple(r for r in self.readings if r.kind in kinds)


@dataclass(slots=True)
class Lattice:
    """An utterance as items, with what is needed to point back at its words."""

    utterance: Utterance
    tokens: list[Token]
    items: list[Item]
    speaker: Speaker | None = None

    def text(self, start: int, end: int) -> str:
        """The words of some tokens as spoken."""
        return self.utterance.text[self.tokens[start].start : self.tokens[end - 1].end]


class Lattices:
    """Makes lattices by one grammar; built once."""

    def __init__(self, grammar: Grammar) -> None:
        """Collect the forms of the grammar and of the closed classes."""
        self.grammar = grammar
        self.lexicon = Lexicon(grammar)
        self._classes = {
            name: {norms(form) for form in forms} for name, forms in grammar.closed.items()
        }
        self._harmless = {key for key in self._classes.get("harmless", ()) if len(key) == 1}
        self._add_classes()
        self._grades = GradeReader(grammar)
        self._repairer = Repairer(self.lexicon, self._grades.words)
        talk = grammar.speech.talk
        self._labels: dict[str, Speaker] = {
            **{word.lower(): "examiner" for word in talk.examiner_labels},
            **{word.lower(): "patient" for word in talk.patient_labels},
        }
        self._plain = frozenset(word.lower() for word in talk.plain)
        self._closed = frozenset(grammar.closed)
        self._hesitation = {norms(w) for w in ("um", "uh", "er", "erm", "hmm")}
        self._joins = {"or", "nor"}

    def _add_classes(self) -> None:
        apart = {"noted", "auxiliary", "able", "negative", "between", *_VERBS, "harmless", "motion"}
        for name, forms in self.grammar.closed.items():
            if name in apart:
                continue
            for form in forms:
                if name.startswith("like_"):
                    for reading in self.lexicon.readings.get(norms(name[5:].replace("_", " ")), ()):
                        self._add(form, reading)
                elif name.startswith("as_"):
                    self._add(form, Reading("value", name[3:]))
                elif name == "other_side":
                    self._add(form, Reading("side", "other"))
                elif name == "both_sides":
                    self._add(form, Reading("trails", "both"))
                else:
                    self._add(form, Reading(name, form))
        for form in self.grammar.closed.get("harmless", ()):
            if len(norms(form)) > 1:
                self._add(form, Reading("glue", form))

    def _add(self, form: str, reading: Reading) -> None:
        key = norms(form)
        fresh = key not in self.lexicon.readings
        self.lexicon.readings.setdefault(key, []).append(reading)
        if fresh:
            name = " ".join(key)
            vocab = self.lexicon.vocab
            self.lexicon._matcher.add(name, [Doc(vocab, words=list(key))])
            self.lexicon._names[vocab.strings[name]] = key

    def read(self, utterance: Utterance) -> Lattice:
        """The lattice of one utterance; never fails, whatever the text holds."""
        who, label = speaker_of(utterance.text, self._labels)
        tokens = tokenise(unmarked(utterance.text, label))
        terms = self.lexicon.find(tokens, _shouted(tokens))
        terms = self._with_repairs(tokens, terms)
        terms = self._with_verbs(tokens, self._split_denials(tokens, terms))
        strong = {i for t in terms if _holds_number(t, self._closed) for i in range(t.start, t.end)}
        grades = self._grades.find(tokens, strong)
        items = self._items(tokens, terms, grades)
        return Lattice(utterance, tokens, self._merged(self._completed(items)), who)

    def _with_repairs(self, tokens: list[Token], terms: list[Term]) -> list[Term]:
        known = [t.norm in self._plain or (t.norm,) in self._harmless for t in tokens]
        fixed = [False] * len(tokens)
        some = False
        for term in terms:
            known[term.start : term.end] = [True] * (term.end - term.start)
            if any(ROLES.get(r.kind) in CONTENT for r in term.readings):
                fixed[term.start : term.end] = [True] * (term.end - term.start)
                some = True
        if all(known) or not some:
            return terms
        found = self._repairer.find(tokens, known, fixed)
        kept = [t for t in terms if not any(t.start < r.end and r.start < t.end for r in found)]
        kept += [
            Term(r.start, r.end, r.form, self._repairer.readings(r.form), r.form) for r in found
        ]
        return sorted(kept, key=lambda term: term.start)

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
            whole = any(t.end > end or (t.start <= i and t.end >= end and _valued(t)) for t in over)
            if not whole:
                out = [t for t in out if t not in over]
                out.append(
                    Term(i, end, " ".join(words[i:end]), (Reading("verb", verb, test=able),))
                )
            i = end
        return sorted(out, key=lambda term: term.start)

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
        for verb in _VERBS:
            if k := self._at(words, j, verb):
                while (k2 := self._at(words, j + k, verb)) and verb == "seek":
                    k += k2
                return j + k, verb, "able" if able else ""
        return None

    def _items(self, tokens: list[Token], terms: list[Term], grades: Sequence[Grade]) -> list[Item]:
        starts: dict[int, Term | Grade] = {}
        taken = {i for g in grades for i in range(g.start, g.end)}
        for term in terms:
            if not any(i in taken for i in range(term.start, term.end)):
                starts[term.start] = term
        starts.update({g.start: g for g in grades})
        items: list[Item] = []
        i = 0
        while i < len(tokens):
            found = starts.get(i)
            if isinstance(found, Grade):
                role = "DETAIL" if found.counts else "VALUE"
                oh = tokens[i].norm == "oh" and found.end == i + 1
                roles = (
                    (role, "FILLER")
                    if oh
                    else (role, "ONE")
                    if tokens[i].norm == "one" and found.end == i + 1
                    else (role,)
                )
                items.append(Item(i, found.end, found.text, roles, grade=found))
            elif found is not None:
                items.append(self._term(found, tokens))
            else:
                items.append(self._plain_item(tokens, i))
            here = items[-1]
            joined = tokens[here.start].hyphen and len(items) > 1 and not here.text.isdigit()
            if joined and _NAMES & set(here.roles) and _NAMES & set(items[-2].roles):
                items.insert(-1, Item(here.start, here.start, "-", ("AND",)))
            i = here.end
        return items

    def _term(self, term: Term, tokens: list[Token]) -> Item:
        roles: list[str] = []
        for r in term.readings:
            role = ROLES.get(r.kind, "MISC")
            if role not in roles:
                roles.append(role)
        item = Item(term.start, term.end, term.form, (), term.readings)
        if term.readings and term.readings[0].kind == "verb":
            verb, able = term.readings[0].id, bool(term.readings[0].test)
            item.verb, item.able = verb, able
            item.roles = {
                "seek": ("DENY", "DENIED"),
                "show": ("DENY",),
                "perceive": ("DENIED", "DENY"),
            }.get(verb, ("NOTDONE",))
            return item
        if "TEST" in roles and "SECTION" in roles:
            roles.remove("SECTION")
        if any(r.kind == "ended" for r in term.readings):
            roles.append("DENY")
        strong = [
            role for role in roles if role not in _WEAK or (role == "MISC" and roles[0] == "PART")
        ]
        item.roles = tuple(strong or roles)
        helper = norms(term.form) in self._classes.get("auxiliary", ())
        if "VALUE" in item.roles and helper:
            item.roles = (*item.roles, "HELPER")
        elif "VALUE" in item.roles and any(
            r.kind in ("opening", "filler", "clause", "hesitation") for r in term.readings
        ):
            item.roles = (*item.roles, "FILLER")
        seen = any(r.kind == "value" and r.id == "present" for r in term.readings) and not any(
            r.test for r in term.readings
        )
        if seen and norms(term.form) in self._classes.get("noted", ()):
            item.roles = (*item.roles, "SEEN")
        if term.form in {"with"}:
            item.roles = ("PREP",)
        if item.roles and item.roles[0] == "PART" and "MISC" not in item.roles:
            item.roles = (*item.roles, "MISC")
        if (
            "MISC" in item.roles
            and len(item.roles) == 1
            and term.form in {"um", "uh", "er", "erm", "hmm"}
        ):
            item.roles = ("HESITATION",)
        return item

    def _plain_item(self, tokens: list[Token], i: int) -> Item:
        token = tokens[i]
        if token.norm in _MARKS:
            role = _MARKS[token.norm]
            if token.norm == "?" and i + 1 < len(tokens) and tokens[i + 1].glued:
                role = "DOUBT"
            single = i > 0 and len(tokens[i - 1].text) == 1 and tokens[i - 1].text.isupper()
            if token.norm == "." and single and i + 1 < len(tokens) and tokens[i + 1].glued:
                role = "MISC"
            return Item(i, i + 1, token.norm, (role,))
        if token.norm in {"/", "&"}:
            return Item(i, i + 1, token.norm, ("AND",))
        alone = (
            token.norm in {"-", "–"}
            and i > 0
            and (i + 1 == len(tokens) or tokens[i + 1].norm in {",", ".", ";"})
        )
        if alone and not token.glued:
            return Item(i, i + 1, token.norm, ("VALUE",), (Reading("value", "absent"),))
        if token.norm in _SIGNS:
            return Item(i, i + 1, token.norm, ("MISC",))
        if (token.norm,) in self._harmless:
            return Item(i, i + 1, token.norm, ("MISC",))
        return Item(i, i + 1, token.norm, ("UNKNOWN",))

    def _nerves(self, items: list[Item]) -> list[Item]:
        """ "CN II-XII", "cranial nerves two to twelve": numbers of nerves, and no grades."""
        numbered = {name for name, t in self.grammar.tests.items() if t.numbered}
        numerals = {w.lower() for words in self.grammar.numbers.roman.values() for w in words}
        out: list[Item] = []
        i = 0
        while i < len(items):
            out.append(items[i])
            item = items[i]
            i += 1
            if not any(r.test in numbered for r in item.of_kind("test")):
                continue
            j, end = i, i
            while j < len(items):
                it = items[j]
                if (
                    (it.grade is not None and not it.grade.sign and not it.grade.slash)
                    or it.text in numerals
                    or all(w in numerals for w in it.text.split())
                ):
                    end = j + 1
                elif it.text not in (
                    "-",
                    "–",
                    "to",
                    "through",
                    "and",
                    ",",
                    "thru",
                    "nerves",
                    "the",
                ):
                    break
                j += 1
            if end > i:
                words = " ".join(it.text for it in items[i:end])
                out.append(Item(items[i].start, items[end - 1].end, words, ("DETAIL",)))
                i = end
        return out

    def _charts(self, items: list[Item]) -> list[Item]:
        """ "Six nine" beside the name of a test on a chart: its line; "V2" beside a coma scale: a part."""
        scales = {
            t: self.grammar.scales[spec.scale]
            for t, spec in self.grammar.tests.items()
            if spec.scale
        }
        named = {
            scales[r.test].kind for it in items for r in it.of_kind("test") if r.test in scales
        }
        if not named & {"acuity", "total"}:
            return items
        acuity = [sc for sc in scales.values() if sc.kind == "acuity"]
        parts = {t: sc.parts for t, sc in scales.items() if sc.parts}
        out: list[Item] = []
        for it in items:
            last = out[-1] if out else None
            pair = (
                last is not None
                and last.grade is not None
                and it.grade is not None
                and last.end == it.start
            )
            if (
                pair
                and "acuity" in named
                and last is not None
                and last.grade is not None
                and it.grade is not None
            ):
                a, b = last.grade, it.grade
                line = any(
                    a.number in map(str, sc.first) and b.number in map(str, sc.second)
                    for sc in acuity
                )
                if line and not (a.of or b.of or a.sign or b.sign or a.unit or b.unit):
                    grade = replace(a, of=b.number, end=b.end)
                    out[-1] = Item(
                        last.start, it.end, f"{a.text}/{b.text}", ("VALUE",), grade=grade
                    )
                    continue
            words = it.text.split(" ")
            if "total" in named and "SITE" in it.roles and len(words) == 2 and words[1].isdigit():
                test, label = next(
                    ((t, k) for t, ps in parts.items() for k in ps if k.lower() == words[0]),
                    ("", ""),
                )
                if test:
                    out.append(
                        Item(
                            it.start,
                            it.start + 1,
                            words[0],
                            ("PART",),
                            (Reading("part", label, test),),
                        )
                    )
                    grade = Grade(words[1], "", it.start + 1, it.end)
                    out.append(Item(it.start + 1, it.end, words[1], ("VALUE",), grade=grade))
                    continue
            out.append(it)
        return out

    def _merged(self, items: list[Item]) -> list[Item]:
        """ "Right gaze", "gaze to the left": a direction; "left more than right": unlike sides."""
        out: list[Item] = []
        items = self._charts(self._nerves(items))
        i = 0
        while i < len(items):
            item = items[i]
            if "COMPARE" in item.roles:
                last = item.text.split(" ")[-1]
                j = i + 1
                while j < len(items) and items[j].roles[0] in ("MISC", "PREP"):
                    j += 1
                speech = self.grammar.speech
                if j < len(items) and "SIDE" in items[j].roles and not _both(items[j]):
                    word = self.lexicon.readings.get((item.text.split(" ")[0],), ())
                    worse = tuple(r for r in word if r.kind == "value")
                    k = len(out) - 1
                    while (
                        k >= 0
                        and out[k].roles[0] not in ("COMMA", "STOP", "COLON", "AND")
                        and "VALUE" not in out[k].roles
                    ):
                        k -= 1
                    fresh = k < 0 or "VALUE" not in out[k].roles
                    if worse and fresh and last in speech.compare_more_ends:
                        split = item.end - 1
                        out.append(
                            Item(item.start, split, item.text.split(" ")[0], ("VALUE",), worse)
                        )
                        out.append(Item(split, item.end, last, ("PREP",)))
                        i += 1
                        continue
                    ends = last in speech.compare_ends or any(
                        it.text in speech.compare_ends for it in items[i + 1 : j]
                    )
                    more = last in speech.compare_more_ends or any(
                        it.text in speech.compare_more_ends for it in items[i + 1 : j]
                    )
                    if ends or more:
                        words = " ".join(it.text for it in items[i : j + 1])
                        out.append(
                            Item(
                                item.start,
                                items[j].end,
                                words,
                                ("DETAIL",) if ends else ("UNEVEN",),
                            )
                        )
                        i = j + 1
                        continue
            nxt = items[i + 1] if i + 1 < len(items) else None
            if (
                nxt is not None
                and nxt.grade is not None
                and any(r.kind == "becomes" for r in item.readings)
                and out
                and out[-1].grade is not None
            ):
                if "SITE" not in item.roles and len(item.text.split(" ")) > 1:
                    words = f"{item.text} {nxt.text}"
                    out.append(Item(item.start, nxt.end, words, ("DETAIL",)))
                    i += 2
                    continue
            side = "SIDE" in item.roles
            if side and nxt is not None and any(r.kind == "direction" for r in nxt.readings):
                out.append(
                    Item(item.start, nxt.end, f"{item.text} {nxt.text}", ("DETAIL",), nxt.readings)
                )
                i += 2
                continue
            if any(r.kind == "direction" for r in item.readings):
                j = i + 1
                while j < len(items) and (items[j].roles[0] in ("MISC", "PREP", "EDGE", "RANGE")):
                    j += 1
                if (
                    j < len(items)
                    and j > i + 1
                    and "SIDE" in items[j].roles
                    and not _both(items[j])
                ):
                    out.append(
                        Item(
                            item.start,
                            items[j].end,
                            f"{item.text} {items[j].text}",
                            ("DETAIL",),
                            item.readings,
                        )
                    )
                    i = j + 1
                    continue
            if (
                side
                and i + 2 < len(items)
                and "SIDE" in items[i + 2].roles
                and any(r.kind == "either" for r in items[i + 1].readings)
            ):
                words = " ".join(it.text for it in items[i : i + 3])
                out.append(
                    Item(
                        item.start, items[i + 2].end, words, ("SIDE",), (Reading("trails", "both"),)
                    )
                )
                i += 3
                continue
            if side:
                j = i + 1
                while j < len(items) and items[j].roles[0] in ("MISC", "DEGREE"):
                    j += 1
                k = j + 1
                while k < len(items) and items[k].roles[0] in ("MISC", "PREP"):
                    k += 1
                toward = (
                    j < len(items)
                    and items[j].text.split(" ")[-1] in self.grammar.speech.compare_ends[1:3]
                )
                if (
                    j < len(items)
                    and "COMPARE" in items[j].roles
                    and not toward
                    and k < len(items)
                    and "SIDE" in items[k].roles
                ):
                    words = " ".join(it.text for it in items[i : k + 1])
                    out.append(Item(item.start, items[k].end, words, ("UNEVEN",)))
                    i = k + 1
                    continue
            out.append(item)
            i += 1
        return out

    def _completed(self, items: list[Item]) -> list[Item]:
        """ "Knee flexion and extension", "limb or truncal ataxia": a word that its neighbour completes."""
        readings = self.lexicon.readings
        named: Item | None = None
        for i, item in enumerate(items):
            if item.roles[0] == "STOP":
                named = None
            if "SITE" in item.roles or "TEST" in item.roles:
                named = item
            if "SITE" in item.roles or "TEST" in item.roles or item.grade is not None:
                continue
            listed = i > 1 and items[i - 1].roles[0] in {"AND", "COMMA"}
            before = named if listed else None
            if before is not None and {"SITE", "TEST"} & set(before.roles):
                form = (*before.text.split(" ")[:-1], *item.text.split(" "))
                found = tuple(r for r in readings.get(form, ()) if r.kind in {"site", "test"})
                if found and len(form) > 1:
                    items[i] = Item(item.start, item.end, " ".join(form), _roles(found), found)
                    continue
            after = (
                items[i + 2]
                if i + 2 < len(items) and items[i + 1].roles[0] in {"AND", "COMMA"}
                else None
            )
            if (
                after is not None
                and item.roles[0] in {"UNKNOWN", "MISC"}
                and {"SITE", "TEST", "SIGN"} & set(after.roles)
            ):
                last = after.text.split(" ")[-1]
                found = tuple(
                    r
                    for r in readings.get((*item.text.split(" "), last), ())
                    if r.kind in {"site", "test", "sign"}
                )
                if found:
                    items[i] = Item(
                        item.start, item.end, f"{item.text} {last}", _roles(found), found
                    )
        return items


def _both(item: Item) -> bool:
    return any(r.kind in ("side", "trails") and r.id == "both" for r in item.readings)


def _roles(readings: Sequence[Reading]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(ROLES.get(r.kind, "MISC") for r in readings))


def _valued(term: Term) -> bool:
    return any(r.kind in {"value", "sign", "not_tested", "unable", "test"} for r in term.readings)


def _shouted(tokens: list[Token]) -> bool:
    words = [token.text for token in tokens if token.text.isalpha()]
    return len([w for w in words if len(w) > 3]) > 2 and all(w.isupper() for w in words)


def _holds_number(term: Term, closed: frozenset[str]) -> bool:
    """A term that keeps its words from being a grade ("C five", "one would expect")."""
    kinds = {r.kind for r in term.readings}
    keeps = {
        "site", "test", "after_site", "sign", "value", "detail", "take_back", "quality",
        "elsewhere", "foreign",
    }  # fmt: skip
    return term.end - term.start > 1 and bool(kinds & (keeps | closed))


@lru_cache(maxsize=4)
def lattices_of(grammar: Grammar) -> Lattices:
    """The lattice maker of a grammar, built once."""
    return Lattices(grammar)
