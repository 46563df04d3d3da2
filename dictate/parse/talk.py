"""Talk or statement: to whom a sentence speaks, judged by how it opens and who is spoken of."""

from __future__ import annotations

import itertools
from functools import lru_cache

from dictate.grammar.load import Grammar
from dictate.interpret.tokens import norms
from dictate.model import UtteranceKind
from dictate.parse.items import Item, folded

#: So many items may stand between the last word to a patient and a statement.
MOST_BETWEEN = 3
_NAMED = {"TEST", "SIGN", "SITE", "VALUE", "NOTDONE"}


@lru_cache(maxsize=4)
def _anybody(grammar: Grammar) -> frozenset[tuple[str, ...]]:
    """Words of the trade that anybody uses for other things, folded."""
    talk = grammar.speech.talk
    return frozenset(norms(form) for form in (*talk.lay, *talk.ordinary, *talk.lay_values))


@lru_cache(maxsize=4)
def _tags(grammar: Grammar) -> frozenset[tuple[str, ...]]:
    return frozenset(norms(form) for form in grammar.speech.talk.tags)


def is_trade(grammar: Grammar, item: Item) -> bool:
    """A word that only an examiner says: a name that nobody else uses, or a grade on its scale."""
    if item.grade is not None:
        of = item.grade.of is not None and item.grade.of in grammar.denominators
        return bool(item.grade.sign) or of or item.grade.unit is not None
    return (
        bool(_NAMED & set(item.roles))
        and folded(item.text) not in _anybody(grammar)
        and item.roles[0] != "TALK"
    )


def trades(grammar: Grammar, items: list[Item]) -> int:
    """How many words of the trade a sentence holds; the name of an examination is one."""
    for i, item in enumerate(items[:-1]):
        if items[i + 1].roles[0] == "COLON" and _kinds(item) & {"exam", "clinic", "section"}:
            return 2
    graded = sum(
        bool({"SITE", "TEST"} & set(a.roles)) and b.grade is not None and not b.grade.counts
        for a, b in itertools.pairwise(items)
    )  # fmt: skip
    return graded + sum(is_trade(grammar, item) for item in items)


def first_person(grammar: Grammar, items: list[Item]) -> bool:
    """Somebody speaks of his own body ("my leg", "I'm numb"), and of nobody else."""
    others = grammar.classes.get("of_him", ())
    return any("own" in _kinds(it) for it in items) and not any(
        it.text.split(" ")[0] in others for it in items
    )


def _kinds(item: Item) -> set[str]:
    return {r.kind for r in item.readings}


def split_talk(
    grammar: Grammar, items: list[Item], replying: bool = False
) -> tuple[UtteranceKind | None, list[Item]]:
    """The kind of a sentence if it is talk, and the items that may be a statement."""
    start = _opening(items)
    body = items[start:]
    if not body:
        return None, []
    words = [it for it in body if it.roles[0] not in ("COMMA", "MISC", "STOP")]
    lone = start == 0 and words and all("reply" in _kinds(it) for it in words) and len(words) <= 4
    goes_on = not replying and any("also" in _kinds(it) for it in items)  # "The left too."
    if lone and not goes_on and not any(it.roles[0] == "PREP" for it in items):
        return "by_patient", []
    replies = replying and start == 0 and "reply" in _kinds(body[0])
    if replies and not trades(grammar, body) and not _states(grammar, body[1:]):
        return "by_patient", []
    asks = items[-1].text == "?"
    if asks and len(items) > 2 and folded(items[-2].text) in _tags(grammar):
        items = [*items[:-2], items[-1]]  # "rather negative, no?"
        body = [it for it in body if it in items]
    if asks:
        first = _kinds(body[0])
        you = any("you" in _kinds(it) for it in body)
        if "ask" in first or you or "instruct" in first:
            return "to_patient", []
    first = _kinds(body[0])
    told = len(body) > 1 and "first" in _kinds(body[1]) and not asks  # "When I touch both, ..."
    if "ask" in first and body[0].roles[0] in ("TALK",) and not told:
        return "to_patient", []
    name = any(role in ("TEST", "SITE", "SIGN", "VALUE") for role in body[0].roles)
    if "instruct" in first and not name and body[0].roles[0] == "TALK":
        colon = next((i for i, it in enumerate(body) if it.roles[0] == "COLON"), None)
        after = body[colon or 0 :]
        if colon is not None and any({"TEST", "SIGN", "SITE"} & set(it.roles) for it in after):
            return None, body[colon + 1 :]  # "Watch how I do it: the tone is increased"
        return "to_patient", _after_talk(grammar, body)
    undone = any(it.roles[0] == "NOTDONE" for it in body) and "TEST" in body[0].roles
    if (
        first_person(grammar, body)
        and not undone
        and not any(it.grade is not None and is_trade(grammar, it) for it in body)
    ):
        return "by_patient", []
    spoken_to = any("you" in _kinds(it) for it in body)
    if spoken_to and not any(it.grade is not None or "TEST" in it.roles for it in body):
        return "to_patient", _after_talk(grammar, body)
    tells = any("tells" in _kinds(it) for it in body)
    if (
        tells
        and any(
            "symptom" in _kinds(it) or "foreign" in _kinds(it) or it.roles[0] == "UNKNOWN"
            for it in body
        )
        and not any(it.grade is not None for it in body)
        and not any("join" in _kinds(it) and it.text == "and" for it in body)
    ):
        return "remark", []
    if any("account" in _kinds(it) for it in body):
        return "remark", []
    if asks:
        return None, _doubted(items)
    return None, items[start:] if start and not any(
        it.roles[0] == "AND" for it in items[:start]
    ) else items


def _states(grammar: Grammar, items: list[Item]) -> bool:
    """After a comma a test comes, and later what was found of it; nobody's own body is named."""
    if not items or items[0].roles[0] != "COMMA" or first_person(grammar, items):
        return False
    named = next((i for i, it in enumerate(items) if {"TEST", "SIGN"} & set(it.roles)), None)
    found = {"VALUE", "SITE", "NOTDONE"}
    return named is not None and any(found & set(it.roles) for it in items[named + 1 :])


def _after_talk(grammar: Grammar, items: list[Item]) -> list[Item]:
    """What may be a statement after words to the patient ("squeeze my hand grip five").

    It begins with a word of the trade soon after the last word to the patient; where none does,
    after the first comma.
    """
    last = max(i for i, it in enumerate(items) if _to_patient(it))
    for i in range(last + 1, min(last + 2 + MOST_BETWEEN, len(items))):
        nxt = items[i + 1] if i + 1 < len(items) else None
        side = "SIDE" in items[i].roles or "DENY" in items[i].roles
        first = nxt if side and nxt is not None else items[i]
        named = {"TEST", "SIGN"} & set(first.roles) or (
            {"SITE", "VALUE"} & set(first.roles) and first.grade is None
        )
        if named and is_trade(grammar, first) and not _to_patient(first):
            return items[i:]
    commas = [i for i, it in enumerate(items) if it.roles[0] == "COMMA" and it.end > it.start]
    if commas:
        return items[commas[0] + 1 :]
    graded = any(it.grade is not None and not it.grade.counts for it in items[last + 1 :])
    return items[last + 1 :] if graded else []


def _to_patient(item: Item) -> bool:
    """A word of an instruction, or of the two people who speak with each other."""
    return item.roles[0] in ("TALK", "OWN") or bool(_kinds(item) & {"instruct", "you", "own"})


def _doubted(items: list[Item]) -> list[Item]:
    mark = items[-1]
    return [*items[:-1], Item(mark.start, mark.end, "?", ("DOUBT",))]


def _opening(items: list[Item]) -> int:
    """How many items are filler ("okay, right, now") before the sentence begins."""
    i = 0
    while i < len(items) and (
        items[i].roles[0] == "COMMA"
        or (
            (_kinds(items[i]) & {"opening", "filler"} and "SIDE" not in items[i].roles)
            and items[i].roles[0] in ("MISC", "TALK")
        )
    ):
        i += 1
    side = i < len(items) and "SIDE" in items[i].roles and "opening" in _kinds(items[i])
    if side:
        j = i + 1
        while j < len(items) and (
            items[j].roles[0] == "COMMA"
            or (_kinds(items[j]) & {"opening", "definite"} and "SIDE" not in items[j].roles)
        ):
            j += 1
        if j > i + 1 and j < len(items):
            after = items[j]
            talk = after.roles[0] == "TALK"
            section = "section" in _kinds(after) and not any(
                "SITE" in it.roles or "VALUE" in it.roles for it in items[j:]
            )
            if talk or section or (i > 0 and "section" in _kinds(after)):
                return j
    return i
