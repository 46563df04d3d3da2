"""Corrections that are a sentence of their own, or that nobody can carry out: done or asked.

"I got that wrong. The right hand.", "wrong side", "all of that was the left", "lose the minus":
whatever speaks of a mistake changes what it speaks of, or turns it into a question. Nothing that
was called wrong stays in the record as it was.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from dictate.grammar.wording import finding_phrase
from dictate.interpret.items import Item
from dictate.interpret.reader import Reading, Sentence
from dictate.interpret.statement import Said, Statement
from dictate.model import (
    OTHER_SIDE,
    Change,
    Choice,
    Finding,
    Place,
    Question,
    QuestionKind,
    UtteranceKind,
)
from dictate.resolve import corrections, questions
from dictate.resolve.context import Entry, Pending
from dictate.resolve.fit import fit
from dictate.resolve.places import place

if TYPE_CHECKING:
    from dictate.resolve.resolver import Resolver

#: Words that announce a correction.
_CUES = frozenset({"replace", "take_back", "swap", "wrong"})
#: What may be said in place of something.
_CONTENT = frozenset({"value", "grade", "side", "target", "edge_site", "deny", "sign"})
#: Findings of one correction that are offered by name; of more, all together.
_NAMED = 6


def of_the_run(resolver: Resolver, reading: Reading, sentence: Sentence) -> UtteranceKind | None:
    """ "All of that was the left": the side of everything since the side last changed.

    Returns:
        None where the sentence says nothing of the kind.
    """
    whole = next((item for item in sentence.row if item.kind == "whole_run"), None)
    sides = {
        r.id
        for i, item in enumerate(sentence.row)
        for r in item.of_kind("side")
        if item.kind == "side" and not (i and "misnamed" in sentence.row[i - 1].others)
    }
    said = any(
        item.kind in {"value", "grade"} or (item.kind == "target" and not _limb(item))
        for item in sentence.row
    )
    if whole is None or said or len(sides & {"right", "left", "both"}) != 1 or not resolver.entries:
        return None
    side = next(iter(sides))
    run = _run(resolver)
    here = place(reading, (sentence.start, sentence.end))
    if not run:
        return None
    if side == "both" or (len({e.utterance for e in run}) > 1 and _mixed(resolver, run)):
        doubt(resolver, reading, here, run)
        return "finding"
    for entry in run:
        old = entry.finding
        resolver.history.append(Change("corrected", resolver.hearing, old))
        entry.finding = replace(old, side=side, said=(*old.said, here))  # type: ignore[arg-type]
    _turn_holds(resolver, side, here)
    return "command"


def erased(resolver: Resolver, reading: Reading, sentence: Sentence) -> UtteranceKind | None:
    """ "Strike the toe extension": what is named is taken back.

    Returns:
        None where the sentence says nothing of the kind, or what is right as well.
    """
    row = sentence.row
    at = next((i for i, x in enumerate(row) if "erases" in x.others), None)
    if at is None or any(x.kind in {"value", "grade", "replace"} for x in row[at:]):
        return None
    if not any(x.kind == "target" for x in row[at:]):
        return None
    old = _named(resolver, sentence, sided=True)
    if not old:
        return None
    for entry in old:
        corrections.remove(resolver, entry, "taken_back")
    return "command"


def _limb(item: Item) -> bool:
    return any(r.group == "limb" for r in item.of_kind("site"))


def _run(resolver: Resolver) -> list[Entry]:
    """The sided findings back to where the side changed."""
    run: list[Entry] = []
    for entry in reversed(resolver.entries):
        if run and entry.finding.side != run[-1].finding.side and entry.finding.side:
            break
        if entry.finding.side:
            run.append(entry)
    return run[::-1]


def _mixed(resolver: Resolver, run: list[Entry]) -> bool:
    """Several sections: how far back "all of that" goes is not said."""
    return len({resolver.grammar.area_of(e.finding.test).area for e in run}) > 1


def _turn_holds(resolver: Resolver, side: str, here: Place) -> None:
    held = resolver.holds.side
    if held is not None and side in OTHER_SIDE:
        resolver.holds.side = replace(held, id=side, place=here)


def of_a_side(sentence: Sentence, st: Statement) -> None:
    """ "On the right, I mean": a side that is corrected heads nothing."""
    if st.link != "heading" or not st.lone_side or sentence.statements != [st]:
        return
    first = next((x for x in sentence.row if x.kind not in {"glue", "comma", "deny"}), None)
    if first is not None and first.kind == "replace":
        st.link = "replace"


def announced(sentence: Sentence) -> Item | None:
    """The words of a sentence that announce a correction, if there are any."""
    return next((x for x in sentence.row if x.kind in _CUES or x.others & {"wrong"}), None)


def alone(sentence: Sentence) -> bool:
    """ "I got that wrong.", "Correction.": announced, and nothing said instead."""
    return not any(x.kind in _CONTENT or x.grade is not None for x in sentence.row)


def unsettled(
    resolver: Resolver, reading: Reading, sentence: Sentence, changed: bool, asked: bool,
    found: list[Entry],
) -> UtteranceKind | None:  # fmt: skip
    """A correction that changed nothing: what it may speak of is asked about.

    Args:
        resolver: The narration.
        reading: The utterance.
        sentence: One of its sentences, after all that it says was taken.
        changed: It took something out of the record, or changed it.
        asked: It opened a question.
        found: What it gave of its own.
    """
    if changed or not resolver.entries:
        return None
    here = place(reading, (sentence.start, sentence.end))
    cue = announced(sentence)
    denies = cue is None and _opens_with_not(sentence)
    strange = resolver.stage.strange(reading, sentence)
    if cue is not None and found and _after(sentence, cue):
        doubt(resolver, reading, here, found)  # "eversion four, that was inversion, excuse me, ..."
        return "finding"
    if not found and (denies or (asked and (cue is not None or strange))):
        old = _named(resolver, sentence, sided=True)
        if not denies and (cue is None or cue.kind == "swap"):
            old = [entry for entry in old if _said_otherwise(resolver, sentence, entry.finding)]
        doubt(resolver, reading, here, old)
        return "finding" if old else None
    if cue is None or asked:
        return None
    strong = bool(cue.others & {"wrong", "swap", "take_back"})
    if alone(sentence):
        resolver.correcting = resolver.correcting or not strong or cue.kind == "replace"
    replied = resolver.replying and "reply" in cue.others  # "No, it's fine."
    if not strong and (found or alone(sentence) or replied):
        return None
    doubt(resolver, reading, here, _meant(resolver, sentence))
    return "finding"


def _after(sentence: Sentence, cue: Item) -> bool:
    """Something was said both before and after the words that announce a correction."""
    at = sentence.row.index(cue)
    said = [x.kind in _CONTENT or x.grade is not None for x in sentence.row]
    valued = any(x.kind in {"value", "grade"} for x in sentence.row[:at])
    return valued and any(said[at + 1 :]) and "reply" not in cue.others


def _opens_with_not(sentence: Sentence) -> bool:
    """ "Not the leg, ...": what was said before was meant."""
    row = sentence.row
    if len(row) < 2 or row[0].kind != "deny" or "replace" in row[0].others:
        return False
    return "definite" in row[1].others or row[1].kind in {"side", "grade"}


def _said_otherwise(resolver: Resolver, sentence: Sentence, old: Finding) -> bool:
    """The sentence speaks of the very site of a finding, and says another value of its test.

    Without words that announce a correction that is what makes one: "the light reflex is sluggish"
    leaves the knee jerks alone, and "no pronation in the arms" their tone.
    """
    sites = {r.id for x in sentence.row for r in x.of_kind("site")}
    if old.site is not None and (old.site not in sites or _only_limb(sentence, old.site)):
        return False
    said = [Said(x.grade, x.readings) for x in sentence.row if x.kind in {"value", "grade"}]
    fits = [f for s in said if (f := fit(resolver.grammar, old.test, s)) is not None]
    values = {f.value for f in fits if f.value and not f.misfit}
    return bool(values) and old.value not in values


def _only_limb(sentence: Sentence, site: str) -> bool:
    """Of the site nothing but the limb is named, which any test may be of."""
    tests = {r.test for x in sentence.row for r in x.of_kind("test", "sign", "after_site")}
    limb = any(r.id == site and r.group == "limb" for x in sentence.row for r in x.of_kind("site"))
    return limb and not tests


def _named(resolver: Resolver, sentence: Sentence, sided: bool = False) -> list[Entry]:
    """Findings of an earlier utterance whose test and site the sentence names again."""
    now = len(resolver.utterances)
    row = sentence.row
    tests = {r.test for x in row for r in x.of_kind("test", "sign", "after_site")}
    sites = {r.id for x in row for r in x.of_kind("site") if r.id}
    sides = {r.id for x in row if x.kind == "side" for r in x.of_kind("side")} & {"right", "left"}
    found = [
        e
        for e in resolver.entries
        if e.utterance < now
        and (e.finding.test in tests or (not tests and e.finding.site in sites))
        and (not sites or e.finding.site in sites or e.finding.site is None)
        and not (sided and sides and e.finding.side not in sides)
    ]
    last = max((e.statement for e in found), default=0)
    return [e for e in found if e.statement == last]


def named_before(resolver: Resolver, sentence: Sentence) -> list[Entry]:
    """ "Triceps, on second thoughts, four plus": what is named before the words that correct it."""
    cue = announced(sentence)
    if cue is None:
        return []
    row = sentence.row[: sentence.row.index(cue)]
    if any(x.kind in {"value", "grade"} for x in row) or not any(x.kind == "target" for x in row):
        return []
    found = _named(resolver, replace(sentence, row=row), sided=True)
    return found if len({e.finding.test for e in found}) == 1 else []


def _meant(resolver: Resolver, sentence: Sentence) -> list[Entry]:
    """The findings of what the sentence names, else those of the last statement."""
    tests = {r.test for x in sentence.row for r in x.of_kind("test", "sign", "after_site")}
    sites = {r.id for x in sentence.row for r in x.of_kind("site")}
    named = [
        e
        for e in resolver.entries
        if e.finding.test in tests or (e.finding.site and e.finding.site in sites)
    ]
    if named:
        last = max(e.statement for e in named)
        return [e for e in named if e.statement == last]
    if any(item.kind == "whole_run" for item in sentence.row) and (run := _run(resolver)):
        return run
    last = max(e.statement for e in resolver.entries)
    return [e for e in resolver.entries if e.statement == last]


def doubt(resolver: Resolver, reading: Reading, here: Place, entries: list[Entry]) -> None:
    """Findings that were called wrong leave the record for one question."""
    if not entries:
        return
    findings = [entry.finding for entry in entries]
    about = tuple(dict.fromkeys([*(p for f in findings for p in f.said), here]))
    said = reading.utterance.text[here.start : here.end].strip(" .")
    for entry in entries:
        corrections.remove(resolver, entry, "questioned")
    named = "; ".join(finding_phrase(resolver.grammar, f) for f in findings[:_NAMED])
    choices = [*ways_back(findings), Choice(questions.NONE)]
    one = len({(f.test, f.site) for f in findings}) == 1
    kind: QuestionKind = "value" if one else "referent"
    question = Question(
        "",
        kind,
        about,
        f"You said “{said}” of “{named}”. What is right?",
        tuple(choices),
    )
    resolver.open_question(question, reading)
    resolver.pending[-1].withdrawn = tuple(entries)


def ways_back(findings: Sequence[Finding]) -> list[Choice]:
    """How findings that were called wrong may come back: as they were, or of the other side."""
    ways = [Choice("as it was", tuple(findings))]
    if all(f.side for f in findings):
        turned = tuple(replace(f, side=OTHER_SIDE[f.side or ""]) for f in findings)
        ways.append(Choice("the other side", turned))
    return ways


def revive(resolver: Resolver, st: Statement) -> bool:
    """ "I got that wrong." "The right hand.": what was asked about is what is corrected now.

    Returns:
        True if the statement goes on with a correction that was announced before it.
    """
    if not resolver.correcting:
        return False
    fragment = not st.targets and (st.values or st.side)
    last: Pending | None = resolver.pending[-1] if resolver.pending else None
    entries = last.withdrawn if last is not None else ()
    sites = {r.id for t in st.targets for r in t.sites}
    tests = {r.test for t in st.targets for r in (*t.tests, *t.signs)}
    old: list[Finding] = [e.finding for e in entries] or [e.finding for e in resolver.entries[-1:]]
    again = any(f.test in tests or f.site in sites for f in old)
    limb = bool(st.targets) and all(t.on_limb and not t.tests for t in st.targets)
    sided = limb and not st.values and any(t.side for t in st.targets)
    if not (fragment or again or sided):
        return False
    if last is not None and entries:
        resolver.pending.remove(last)
        resolver.history = [
            c for c in resolver.history if c.what != "questioned" or c.finding not in old
        ]
        resolver.entries.extend(entries)
    if sided:  # "the right hand": it is the side that is corrected
        st.side, st.targets = next(t.side for t in st.targets if t.side), []
    st.link = "replace"
    return True


def resigned(resolver: Resolver, reading: Reading, sentence: Sentence) -> UtteranceKind | None:
    """ "Plus, not minus", "lose the minus", "plus, I should add": the sign of the last grade.

    Returns:
        None where the sentence says nothing of the kind.
    """
    numbers = resolver.grammar.numbers
    plus, minus = {*numbers.plus}, {*numbers.minus}
    signs = [x for x in sentence.row if x.text in plus | minus and x.grade is None]
    if not signs or any(x.kind in {"grade", "target"} for x in sentence.row):
        return None
    if not resolver.entries:
        return None
    cue = announced(sentence)
    row = [x for x in sentence.row if x.end > x.start]
    said = [x for x in signs if not (i := row.index(x)) or "deny" not in row[i - 1].others]
    dropped = cue is not None and "wrong" in cue.others
    strange = any(x.kind in {"unknown", "talk"} and x not in signs for x in sentence.row)
    last = max(e.statement for e in resolver.entries)
    both = any(
        x.kind == "whole_run" or any(r.id == "both" for r in x.of_kind("side"))
        for x in sentence.row
    )
    now = max(e.utterance for e in resolver.entries)
    entries = [e for e in resolver.entries if (e.utterance == now if both else e.statement == last)]
    here = place(reading, (sentence.start, sentence.end))
    if strange or dropped or len(said) != 1:
        doubt(resolver, reading, here, entries)
        return "finding"
    sign = "+" if said[0].text in plus else "-"
    changed = False
    for entry in entries:
        old = entry.finding
        grades = _grades(resolver, old)
        value = f"{old.value.rstrip('+-')}{sign}"
        if value not in grades:
            doubt(resolver, reading, here, entries)
            return "finding"
        changed = True
    for entry in entries:
        old = entry.finding
        value = f"{old.value.rstrip('+-')}{sign}"
        resolver.history.append(Change("corrected", resolver.hearing, old))
        entry.finding = replace(old, value=value, said=(*old.said, here))
    return "command" if changed else None


def _grades(resolver: Resolver, finding: Finding) -> tuple[str, ...]:
    scale = resolver.grammar.tests[finding.test].scale
    return resolver.grammar.scales[scale].grades if scale else ()
