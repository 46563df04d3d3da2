"""The eight kinds of questions: how each is put, and what may be chosen."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from dictate.grammar.load import Grammar
from dictate.grammar.names import capital
from dictate.grammar.wording import finding_phrase
from dictate.model import Choice, Finding, Place, Question, QuestionKind
from dictate.resolve.draft import Draft
from dictate.resolve.fit import is_normal

#: The choice that nothing else is right.
NONE = "none of these"
#: The most choices that a question reads out.
MOST = 8
#: The group of places that are asked for before others.
LIMB = "limb"


def wording(grammar: Grammar, test: str | None, site: str | None) -> str:
    """What a question calls the thing it is about."""
    if test is None:
        for group in grammar.groups.values():
            if site in group.sites:
                return group.sites[site].name or site.replace("_", " ")
        return "that"
    name = grammar.tests[test].name
    entry = grammar.sites_of(test).get(site or "")
    if entry is None or site == "all":
        return name
    return f"{entry.name or (site or '').replace('_', ' ')} {name}"


def prompt(
    grammar: Grammar, kind: QuestionKind, draft: Draft, said: str, doubt: str = "", side: str = ""
) -> str:
    """One short sentence to read aloud.

    Args:
        grammar: Where the names come from.
        kind: What is asked.
        draft: What is known of the statement.
        said: Its words, quoted where no name says what it is about.
        doubt: Its words of doubt, if they are why it is asked.
        side: The side that was said of it.
    """
    test = draft.tests[0] if len(draft.tests) == 1 else None
    what = wording(grammar, test, draft.site)
    if side and what != "that":
        what = f"{side} {what}"
    if test is None and kind in {"side", "value"} and what == "that" and said:
        what = f"“{said}”"
    scale = grammar.scales.get(grammar.tests[test].scale or "") if test is not None else None
    total = scale is not None and bool(scale.parts)
    ask = {
        "side": f"{capital(what)}: right, left or both?",
        "value": f"{capital(what)}: what did you find?{' Its parts will do.' * total}",
        "site": f"“{said}”: where?",
        "test": f"“{said}”: which test is that?",
        "scale": f"“{said}” is not on the scale. What is the grade?",
        "heard": f"I may have misheard “{said}”. Is that right?",
        "referent": f"“{said}”: the same as what?",
        "conflict": f"{capital(what)}: the total and its parts differ. Which one holds?"
        if total
        else f"{capital(what)} was said twice and differs. Which one holds?",
    }[kind]
    if draft.strange and not doubt:
        return f"I did not understand “{draft.strange}” in “{said}”. {ask}"
    return f"You said “{doubt}”. {ask}" if doubt else ask


def with_held(grammar: Grammar, draft: Draft, choices: tuple[Choice, ...]) -> tuple[Choice, ...]:
    """The choices of a question, led by what would have been recorded if all was understood."""
    if not draft.held:
        return choices
    named = "; ".join(finding_phrase(grammar, finding) for finding in draft.held)
    rest = tuple(c for c in choices if set(c.findings) != set(draft.held))
    return (Choice(named, draft.held), *rest, Choice(NONE))


def or_none(question: Question) -> Question:
    """A question with a choice that nothing else is right; yes or no is all that there is.

    Args:
        question: As it would be put.
    """
    labels = {choice.label for choice in question.choices}
    if question.kind == "heard" or NONE in labels:
        return question
    return replace(question, choices=(*question.choices, Choice(NONE)))


def options(
    grammar: Grammar,
    kind: QuestionKind,
    draft: Draft,
    offered: list[str],
    redo: Callable[[dict[str, str]], Draft],
) -> tuple[Choice, ...]:
    """The choices of a question, each with the findings that it would add."""
    if kind == "side" and offered:
        return _pair(offered, redo)
    if kind == "side":
        return _tried("side", ["right", "left", "both"], {}, redo)
    if kind == "conflict":
        return _tried("value", offered, {}, redo)
    if kind == "test":
        names = {name: grammar.tests[name].name for name in offered}
        return _tried("test", offered, names, redo)
    if kind == "site" and draft.tests:
        sites = grammar.sites_of(draft.tests[0])
        names = {name: site.name or name.replace("_", " ") for name, site in sites.items()}
        limbs = grammar.groups[LIMB].sites if LIMB in grammar.groups else {}
        order = sorted(sites, key=lambda name: (name not in offered, name not in limbs))
        return _tried("site", order, names, redo)[:MOST]
    if kind in {"value", "scale"} and len(draft.tests) == 1:
        return _tried("value", values_of(grammar, draft.tests[0]), {}, redo)
    if kind in {"value", "scale"}:
        return _of_each(grammar, draft.tests, redo)
    return ()


def _of_each(
    grammar: Grammar, tests: list[str], redo: Callable[[dict[str, str]], Draft]
) -> tuple[Choice, ...]:
    """The words of each test that may have been meant, as many as are read out."""
    found = []
    for test in tests:
        name = grammar.tests[test].name
        for value in grammar.tests[test].values:
            findings = tuple(redo({"test": test, "value": value}).findings)
            if findings and all(f.test == test for f in findings):
                found.append(Choice(f"{name} {value.replace('_', ' ')}", findings))
    return tuple(found[:MOST])


def values_of(grammar: Grammar, test: str) -> list[str]:
    """Every value and grade that a test takes."""
    spec = grammar.tests[test]
    grades = grammar.scales[spec.scale].grades if spec.scale else ()
    return [*grades, *(value for value in spec.values if value not in grades)]


def _tried(
    key: str, options: list[str], names: dict[str, str], redo: Callable[[dict[str, str]], Draft]
) -> tuple[Choice, ...]:
    return tuple(
        Choice(names.get(option, option.replace("_", " ")), tuple(redo({key: option}).findings))
        for option in options
    )


def _pair(pair: list[str], redo: Callable[[dict[str, str]], Draft]) -> tuple[Choice, ...]:
    """ "5/4+": right and left in either order."""
    choices = []
    for right, left in ((pair[0], pair[1]), (pair[1], pair[0])):
        findings: list[Finding] = []
        for side, value in (("right", right), ("left", left)):
            findings.extend(redo({"value": value, "side": side}).findings)
        choices.append(Choice(f"right {right}, left {left}", tuple(findings)))
    return tuple(choices)


def again(grammar: Grammar, old: Finding, about: tuple[Place, ...]) -> Question:
    """A finding was corrected to what its test does not take: what was found? It has no id yet."""
    what = wording(grammar, old.test, old.site)
    side = f"{old.side} " if old.side else ""
    choices = [
        Choice(
            value.replace("_", " "),
            (replace(old, value=value, normal=is_normal(grammar, old.test, value)),),
        )
        for value in values_of(grammar, old.test)
    ]
    prompt_ = f"{side}{what}: what did you find?"
    return Question("", "value", about, prompt_[0].upper() + prompt_[1:], tuple(choices))


def conflicts(grammar: Grammar, olds: list[Finding], new: Finding) -> Question:
    """What was found on each side, and a later word that there is nothing. It has no id yet."""
    what = wording(grammar, new.test, new.site)
    before = ", ".join(f"{f.side} {f.value.replace('_', ' ')}" for f in olds)
    after = new.value.replace("_", " ")
    about: tuple[Place, ...] = tuple(dict.fromkeys([*(p for f in olds for p in f.said), *new.said]))
    return Question(
        "", "conflict", about, f"{capital(what)}: {before}, or {after}?",
        (Choice(before, tuple(olds)), Choice(after, (new,))),
    )  # fmt: skip


def conflict(grammar: Grammar, old: Finding, new: Finding) -> Question:
    """Two values for one thing: neither holds until it is answered. It has no id yet."""
    side = f"{old.side} " if old.side else ""
    what = f"{side}{wording(grammar, old.test, old.site)}"
    words = [f.value.replace("_", " ") for f in (old, new)]
    about: tuple[Place, ...] = tuple(dict.fromkeys([*old.said, *new.said]))
    return Question(
        "", "conflict", about,
        f"{capital(what)}: {words[0]} or {words[1]}?",
        (Choice(words[0], (old,)), Choice(words[1], (new,))),
    )  # fmt: skip
