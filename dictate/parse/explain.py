"""Why an utterance was read as it was: senses, claims with rules and costs, what they became."""

from __future__ import annotations

from collections.abc import Iterator

from dictate.entail.entailment import entailment
from dictate.grammar.load import Grammar
from dictate.interpret.reader import reader_of
from dictate.model import Finding, Utterance
from dictate.parse.categories import Claim, Name, Types
from dictate.parse.gathering import sentences
from dictate.parse.items import Lattice
from dictate.parse.narration import Narration
from dictate.parse.second import SecondReader
from dictate.parse.talk import split_talk
from dictate.resolve.resolver import Resolver
from dictate.resolve.weighed import Weighed
from dictate.retell.retelling import retelling


def explain(grammar: Grammar, texts: list[str], most: int = 2) -> Iterator[str]:
    """Explain the last of some utterances of one narration, line by line.

    Args:
        grammar: The grammar to read with.
        texts: The utterances in order; those before the last only give the context.
        most: How many parses of each sentence to show.
    """
    narration = Narration(grammar)
    for i, text in enumerate(texts[:-1], 1):
        narration.hear(Utterance(f"u{i}", text))
    utterance = Utterance(f"u{len(texts)}", texts[-1])
    lattice = narration.lattices.read(utterance)
    yield f"“{utterance.text}”"
    for items in sentences(lattice):
        yield "senses:"
        for item in items:
            kinds = sorted({f"{r.kind} {r.test or r.group} {r.id}".strip() for r in item.readings})
            said, roles = lattice.text(item.start, item.end), "/".join(item.roles)
            yield f"  {said!r}: {roles}  {'; '.join(kinds)[:110]}"
        talk, body = split_talk(grammar, items, narration.s.replying)
        if talk:
            yield f"talk: {talk}"
        for parse in (
            narration.chart.parses(body, most, waits=bool(narration.s.waiting)) if body else ()
        ):
            yield f"parse, cost {parse.cost:.2f}:"
            for claim in parse.chain():
                if claim.start >= 0:
                    yield from _claim(narration.types, lattice, claim)
    before = narration.s.record()
    first = len(narration.events)
    kind = narration.hear(utterance)
    after = narration.s.record()
    yield f"kind: {kind}"
    for finding in after.findings:
        if finding not in before.findings:
            row = [
                finding.test,
                finding.site or "-",
                finding.side or "-",
                finding.value,
                *finding.detail,
            ]
            yield f"recorded: {' '.join(row)}"
    for question in after.questions:
        if question not in before.questions:
            yield f"asked ({question.kind}): {question.prompt}"
    for finding in before.findings:
        if finding not in after.findings:
            row = [finding.test, finding.site or "-", finding.side or "-", finding.value]
            yield f"taken out or changed: {' '.join(row)}"
    kinds = [e.kind for e in narration.events[first:] if e.kind not in ("held", "set")]
    yield f"events: {', '.join(kinds)}"


def together(grammar: Grammar, texts: list[str]) -> Iterator[str]:
    """What both readers make of the last of some utterances, and how surely it means that.

    Args:
        grammar: The grammar to read with.
        texts: The utterances in order.
    """
    weigher = entailment()
    reteller = retelling()
    resolver = Resolver(grammar, reader_of(grammar), SecondReader(grammar), weigher, reteller)
    for i, text in enumerate(texts[:-1], 1):
        resolver.hear(Utterance(f"u{i}", text))
    utterance = Utterance(f"u{len(texts)}", texts[-1])
    before = resolver.record()
    weighed = Weighed(grammar, weigher, before.utterances, utterance, reteller)
    resolver.hear(utterance)
    after = resolver.record()

    def told(finding: Finding) -> str:
        row = " ".join((finding.test, finding.site or "-", finding.side or "-", finding.value))
        known = weigher is not None and weigher.knows(finding.test, finding.value)
        return f"{row}  weighed {weighed.least([finding]):.1f}" if known else row

    for finding in after.findings:
        if finding not in before.findings:
            yield f"both: recorded {told(finding)}"
    for question in after.questions:
        if question not in before.questions:
            yield f"both: asked ({question.kind}) {question.prompt}"
            for choice in question.choices:
                yield from (f"both:   offered {told(finding)}" for finding in choice.findings)


def _claim(types: Types, lattice: Lattice, claim: Claim) -> Iterator[str]:
    said = lattice.text(claim.start, max(claim.end, claim.start + 1))
    rules = ", ".join(w for w in claim.why if w != "no meaning")
    yield f"  {claim.link} “{said}”  [{claim.cost:.2f}: {rules}]"
    for name in claim.names:
        yield f"    name {_name(types, name)}"
    for place in claim.places:
        yield f"    place {_name(types, place)}"
    for val in claim.values:
        word = val.item.text if val.item else "denied"
        yield f"    value {val.notdone or word}{' (denied)' if val.negated else ''}"
    side = claim.side or claim.pside
    if side:
        yield f"    side {side}"
    for label in ("unknown", "strange", "doubts", "asides", "talk", "reasons", "compare"):
        spans = getattr(claim, label)
        if spans:
            yield f"    {label}: {', '.join(lattice.text(*span) for span in spans)}"


def _name(types: Types, name: Name) -> str:
    tests = "/".join(types.names(name.tests)) if name.tests else "-"
    sites = "/".join(sorted({f"{r.group or r.test}:{r.id}" for r in name.sites})) or "-"
    return f"tests {tests}, sites {sites}, side {name.side or ('both' if name.both else '-')}"
