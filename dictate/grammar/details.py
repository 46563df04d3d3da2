"""Where the details of a finding stand in a sentence, so that none turns it or breaks it.

What changes the value stands right before it ("better than 3/5"), what was denied stands with its
denial ("No tremor at rest"), and only what neither turns nor denies stands in brackets.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from dictate.grammar import schema
from dictate.grammar.load import Grammar
from dictate.grammar.names import NOT_DONE, is_grade, listed, normal_word


@dataclass(frozen=True, slots=True)
class Details:
    """Details by where they stand.

    ``before`` and ``after``: right before and after the value. ``noun``: what stands for the sign's
    name, with the details that belong to it ("sustained clonus"). ``apart``: in brackets.
    """

    before: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    noun: str | None = None
    apart: tuple[str, ...] = ()

    def around(self, value: str) -> str:
        """The value with what stands right before and after it."""
        return " ".join(filter(None, (*self.before, value, ", ".join(self.after))))

    def closing(self, text: str) -> str:
        """A sentence with what stands in brackets at its end."""
        return f"{text} ({', '.join(self.apart)})" if self.apart else text


def arrange(grammar: Grammar, test: str, value: str, details: Iterable[str]) -> Details:
    """Say where each detail stands.

    Args:
        grammar: Which words change a value, and which open a phrase that goes on after it.
        test: Id of the test.
        value: The finding's value.
        details: As they are in the record.
    """
    spec = grammar.tests[test]
    found = dict.fromkeys(" ".join(detail.split()) for detail in details if detail.strip())
    texts = [_small(spec, text) for text in found]
    if value in NOT_DONE:
        return Details(apart=tuple(texts))
    texts = _joined(grammar, test, value, [_phrase(grammar, text) for text in texts])
    sign = spec.named is not None and value in (spec.named, spec.denied)
    before: list[str] = []
    after: list[str] = []
    kinds: list[str] = []
    apart: list[str] = []
    for text in texts:
        if sign and _names(spec, text):
            kinds.append(text)
        elif text.casefold() in _folded(grammar.wording.before_value) and not sign:
            before.append(text)
        elif _opens(grammar.wording.after_value, text):
            after.append(text)
        elif spec.directions and text.casefold() in ("right", "left"):
            after.append(f"to the {text}")
        elif text.casefold() in ("right", "left"):
            apart.append(f"said of the {text}")
        elif not sign and _qualifies(grammar, test, value, text):
            before.append(text)
        elif sign and value == spec.denied:
            kinds.append(text)
        else:
            apart.append(_aside(grammar, spec, value, text))
    noun = _noun(spec, kinds, value == spec.denied) if kinds else None
    return Details(tuple(before), tuple(after), noun, tuple(apart))


def _phrase(grammar: Grammar, text: str) -> str:
    """A detail as a whole phrase."""
    wording = grammar.wording
    first, _, rest = text.partition(" ")
    opened = wording.opens.get(first.casefold())
    return wording.reads.get(text.casefold(), f"{opened} {rest}" if opened and rest else text)


def _joined(grammar: Grammar, test: str, value: str, texts: list[str]) -> list[str]:
    """Put what can only change the next detail before it ("no more than mild").

    A degree that the value may have ("slightly increased, more on the right") is the value's.
    """
    leads = _folded(grammar.wording.before_value)
    degrees = _folded(grammar.speech.degree) - leads
    more = tuple(f"{word.casefold()} " for word in grammar.speech.compare)
    joined: list[str] = []
    for text in texts:
        last = joined[-1].casefold() if joined else ""
        compares = f"{text.casefold()} ".startswith(more) and last.endswith("ly")
        of_next = compares and not _qualifies(grammar, test, value, last)
        if (last in leads and text.casefold() in degrees) or (last in degrees and of_next):
            joined[-1] = f"{joined[-1]} {text}"
        else:
            joined.append(text)
    return joined


def _small(spec: schema.Test, text: str) -> str:
    """Text without the capital that only opened its sentence."""
    first = text.split(" ", 1)[0]
    if not first[1:].islower() or any(form.startswith(first) for form in _forms(spec)):
        return text
    return text[:1].lower() + text[1:]


def _forms(spec: schema.Test) -> list[str]:
    """Words of the test that are written as they are."""
    values = [form for value in spec.values.values() for form in (*value.spoken, *value.alone)]
    return [*spec.details, *(form for forms in spec.details.values() for form in forms), *values]


def _folded(words: Iterable[str]) -> set[str]:
    return {word.casefold() for word in words}


def _opens(words: Iterable[str], text: str) -> bool:
    return text.casefold().partition(" ")[0] in _folded(words)


def _names(spec: schema.Test, text: str) -> bool:
    """Whether the detail holds the sign's name ("visual neglect", "nystagmus to the left").

    Its last word is enough ("upward drift" names a pronator drift).
    """
    said, name = text.casefold(), spec.name.casefold()
    return said.endswith(f" {name.rsplit(' ', 1)[-1]}") or said.startswith(f"{name} ")


def _noun(spec: schema.Test, kinds: list[str], denied: bool) -> str:
    """The sign's name with its kinds ("motor or sensory neglect")."""
    whole = [text for text in kinds if _names(spec, text)]
    if whole:
        # details that hold the name already take its place, and the others stand before them
        other = [text for text in kinds if text not in whole]
        return " ".join([*other, listed(whole, "or" if denied else "and")])
    return f"{listed(kinds, 'or' if denied else 'and')} {spec.name}"


def _qualifies(grammar: Grammar, test: str, value: str, text: str) -> bool:
    """Whether a word of degree reads well right before the value ("mildly increased")."""
    if text.casefold() not in _folded(grammar.speech.degree):
        return False
    scale = grammar.tests[test].scale
    if scale is not None and is_grade(grammar, test, value):
        return grammar.scales[scale].kind == "measure"
    return text.endswith("ly")


def _aside(grammar: Grammar, spec: schema.Test, value: str, text: str) -> str:
    """A detail in brackets: what a normal value denies is denied there too, and a word that may
    mean another value ("normal", and beside it "absent") is quoted, so that it is read as none."""
    said = {text.casefold(), *_folded(spec.details.get(text, ()))}
    if value not in spec.values:
        return text
    if normal_word(spec, value):
        others = [other for other in spec.values.values() if other.normal is False]
        opposite = (form for other in others for form in (*other.spoken, *other.alone))
        if said & _folded(opposite):
            return f"no {text}"
        left_behind = _folded(grammar.wording.of_denial)
        if value == spec.denied and text.casefold() in left_behind:
            return f"nothing {text.casefold()}"
    quoted = said & _folded(grammar.wording.quoted) - _own_words(grammar, value, spec.values[value])
    return f'said with "{text}"' if quoted else text


def _own_words(grammar: Grammar, name: str, value: schema.Value) -> set[str]:
    """Words that mean the value itself."""
    sets = (name,) if value.sets is None else value.sets
    own = (*value.spoken, *value.alone)
    return _folded([*own, *(word for key in sets for word in grammar.sets.get(key, ()))])
