"""Sections: what a heading leaves open, and words that count only under their own heading."""

from __future__ import annotations

from typing import TYPE_CHECKING

from dictate.grammar.names import WHOLE
from dictate.interpret.reader import Reading, Sentence
from dictate.interpret.statement import Statement, Target
from dictate.resolve import headings
from dictate.resolve.draft import Draft

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver

#: What opens an utterance headed by the number of a nerve ("V:").
NUMERAL = "numeral"


def ask_heading(resolver: Resolver, reading: Reading, sentence: Sentence) -> bool:
    """ "Gait: he drags one foot": the test was named and what was said of it not understood."""
    st = sentence.statements[0]
    names = {r.test for target in st.targets for r in target.tests}
    specs = [resolver.grammar.tests[name] for name in names]
    headed = st.link == "heading" and bool(specs) and not any(t.sites for t in st.targets)
    summary = any(target.section for target in st.targets)
    asked = all(spec.usual or spec.gives_way or not summary for spec in specs)
    if not headed or not asked:
        return False
    draft = resolver.drafter.draft(reading, st, resolver.holds)
    draft.findings, draft.labels = [], []
    resolver.ask(reading, st, draft, ("value", []))
    return True


def everyday(resolver: Resolver, reading: Reading, sentence: Sentence, st: Statement) -> bool:
    """ "The mood in the village was low": ordinary words count only beside the trade's own.

    They count in their section, in a sentence that names another test, and in a sentence that
    holds no word that nobody knows (in an examination that goes on, none that may change what is
    said); never in one that speaks of "you" or "me".
    """
    own = {r.test for target in st.targets for r in [*target.tests, *target.signs]}
    tests = resolver.grammar.tests
    if not own or not all(tests[test].everyday for test in own):
        return False
    if any(item.others & {"own", "you"} for item in sentence.row):
        return True
    here = {resolver.holds.section, *resolver.headed}
    if any(resolver.grammar.area_of(test).area in here for test in own):
        return False
    said = {r.test for item in sentence.row for r in item.of_kind("test", "sign")}
    if any(not tests[test].everyday for test in said):
        return False
    if resolver.entries:
        return resolver.stage.strange(reading, sentence)
    return any(item.kind == "unknown" for item in sentence.row)


def head_of_talk(resolver: Resolver, reading: Reading, sentence: Sentence) -> None:
    """ "Gait: his wife says ...": the heading holds, though what follows is no statement."""
    row = sentence.row
    colon = next((i for i, item in enumerate(row) if item.kind == "colon"), None)
    if colon is None or row[colon].text != ":":
        return
    names = [item for item in row[:colon] if item.kind not in {"and", "comma", "glue"}]
    if len(names) != 1 or not names[0].of_kind("test", "section") or names[0].of_kind("site"):
        return
    item = names[0]
    tests = [r.test for r in item.of_kind("test")]
    head = Statement(
        link="heading",
        targets=[Target(tests=item.of_kind("test"), spans=[(item.start, item.end)], section=True)]
        if tests
        else [],
        sections=[r.id for r in item.of_kind("section")],
        spans=[(item.start, item.end)],
    )
    headings.take(resolver, reading, head)


def section_opens(resolver: Resolver, reading: Reading) -> str | None:
    """The area that an utterance opens with by a heading and a colon ("V:", "CN:")."""
    row = reading.sentences[0].row if reading.sentences else []
    colon = next((i for i, item in enumerate(row) if item.kind == "colon"), None)
    if colon is None:
        return None
    numerals = {w.lower() for words in resolver.grammar.numbers.roman.values() for w in words}
    idle = {"and", "comma", "glue", "colon"}
    names = [item for item in row[:colon] if item.kind not in idle or item.text in numerals]
    numbered = next((t for t, spec in resolver.grammar.tests.items() if spec.numbered), None)
    if numbered is None or not names or row[colon].text != ":":
        return None
    told = [item for item in names if not any(r.test == numbered for r in item.of_kind("test"))]
    if told and all(item.text in numerals for item in told):
        return NUMERAL
    own = all(any(r.test == numbered for r in item.of_kind("test")) for item in names)
    return resolver.grammar.area_of(numbered).area if own else None


def numeral_opens(resolver: Resolver, reading: Reading, sentence: Sentence) -> str | None:
    """ "V intact to light touch": a sentence that says something of a nerve by its number."""
    numerals = {w.lower() for words in resolver.grammar.numbers.roman.values() for w in words}
    row = sentence.row
    first = next((i for i, item in enumerate(row) if item.text not in numerals), len(row))
    written = [reading.text((item.start, item.end)) for item in row[:first]]
    said = first < len(row) and bool(row[first].of_kind("value"))
    named = any(text.isupper() and text != "I" for text in written)
    return NUMERAL if said and named else None


def of_the_section(resolver: Resolver, draft: Draft) -> Draft:
    """ "V: sensation normal", "CN: ... light touch normal": of that part, or of the whole?"""
    opened, tests = resolver.nerves, resolver.grammar.tests
    if opened is None or (opened != NUMERAL and resolver.headed - {opened}):
        return draft
    area_of = resolver.grammar.area_of
    nerves = {area_of(name).area for name, spec in tests.items() if spec.numbered}
    lent = {name for spec in tests.values() for name in spec.lends_place}
    unplaced = [
        finding
        for finding in draft.findings
        if finding.site in (None, WHOLE)
        and area_of(finding.test).area not in nerves
        and (opened == NUMERAL or finding.test in lent)
    ]
    if unplaced:
        draft.keep(lambda finding: finding not in unplaced)
        sites = resolver.grammar.sites_of(unplaced[0].test)
        draft.asks.append(("site" if sites else "test", []))
    return draft
