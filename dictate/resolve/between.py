"""What goes from one statement or sentence to the next."""

from __future__ import annotations

from dataclasses import replace

from dictate.interpret.reader import Sentence
from dictate.interpret.statement import Statement


def lend_denied(source: Statement, st: Statement) -> None:
    """ "Oriented to person, but not to place": what is denied is what was said before it."""
    bare = st.denied and not st.values and all(t.sites and not t.tests for t in st.targets)
    if not bare or any(target.signs for target in st.targets) or source.denied:
        return
    signs = [sign for target in source.targets for sign in target.signs]
    if source.values:
        st.values = [replace(value, negated=not value.negated, spans=[]) for value in source.values]
        st.denied = False
    elif signs:
        takes = {r.test for target in st.targets for r in target.sites}
        own = [sign for sign in signs if sign.test in takes]
        for target in st.targets:
            target.signs = list(own)


def goes_on(sentence: Sentence, before: Sentence | None) -> bool:
    """ "This is reduced at the toes", "otherwise intact": of what the sentence before named.

    After a semicolon the list goes on.
    """
    if before is not None and before.row and before.row[-1].text == ";":
        return True
    first = next((item for item in sentence.row if item.kind != "comma"), None)
    if first is None or any(item.of_kind("test", "sign") for item in sentence.row):
        return False
    return "pronoun" in first.others or first.kind == "rest"


def speaks_to(sentence: Sentence) -> bool:
    """It is said to somebody: an instruction, or a sentence with "you" in it."""
    return sentence.talk is not None or any("you" in item.others for item in sentence.row)


def after_unknown(sentence: Sentence, st: Statement) -> bool:
    """A word that nobody knows was said before this side in its sentence."""
    spans = [*st.spans, *(span for target in st.targets for span in target.spans)]
    start = min((span[0] for span in spans), default=0)
    return any(item.kind == "unknown" and item.start < start for item in sentence.row)


def too_strange(st: Statement) -> bool:
    """Mostly words that nobody knows, or an account in the first person: talk, not a statement."""
    known = len(st.targets) + len(st.values) + bool(st.denied)
    graded = any(v.grade is not None and (v.grade.sign or v.grade.of) for v in st.values)
    return st.talk or (len(st.unknown) > 2 + known and not graded)


def spread_last_side(statements: list[Statement]) -> list[Statement]:
    """A side that comes once, at the end of a list, holds for the whole list."""
    listed = [st for st in statements if st.targets and st.has_value]
    if len(listed) < 2 or statements[-1] is not listed[-1]:
        return statements
    last = listed[-1]
    if last.side not in {"right", "left", "both"} or any(t.side for t in last.targets):
        return statements
    if any(st.side or st.link in {"but", "except", "heading"} for st in statements[:-1]):
        return statements
    if any(target.side for st in listed for target in st.targets):
        return statements
    for st in listed[:-1]:
        st.list_side = last.side
    return statements
