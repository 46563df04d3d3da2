"""What in a heard utterance does not fit: words that nothing explains, statements that came to
nothing. Only for what was heard: who types a strange word means it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from dictate.grammar.load import Grammar
from dictate.model import Disputed, Finding, Utterance
from dictate.recognise.page import TAUGHT
from dictate.recognise.weighty import weighty_words
from dictate.resolve.context import Entry

#: What tells one finding from another; places and details do not.
Key = tuple[str, str | None, str | None, str]
#: An utterance whose words were heard with less confidence (0 to 1, mean) may be a statement that
#: was misheard, and not talk: both listeners are sure of themselves in talk and in statements.
#: Measured on 641 findings and 2,500 words of talk: with 0.85, 3.7% of the findings are lost, and
#: talk raises 21 questions; with this 3.3% and 24; with 0.95, 3.0% and 29; without it 2.7% and 50.
UNSURE_TALK = 0.9
#: A word heard with less confidence, right beside a finding's own, may be part of it.
UNSURE_WORD = 0.9
#: So many listeners are needed for a word that all of them heard to be one that was said. With it
#: three capture 87.6 instead of 84.7% of 628 findings in four voices to tune with, with 10 instead
#: of 12 questions in 100, and record 3 instead of 2 findings that nobody said.
LISTENERS = 3
_WORD = re.compile(r"[^\W\d_]+(?:'[^\W\d_]+)?")


def found_in(entries: Iterable[Entry]) -> dict[Key, Finding]:
    """The findings of entries by what tells them apart."""
    return {key_of(entry.finding): entry.finding for entry in entries}


def key_of(finding: Finding) -> Key:
    """What tells a finding from others."""
    return finding.test, finding.site, finding.side, finding.value


def unexplained(
    grammar: Grammar, utterance: Utterance, findings: Iterable[Finding]
) -> Iterator[Disputed]:
    """Words in the midst of a finding's own, or unsure ones beside them, that no finding explains.

    A listener that was taught the trade says words of the trade for whatever it hears, so such a
    word stands for something that was said and is not in the finding. One that every listener
    heard was said: it is like a word that was typed.

    Args:
        grammar: Knows the words that join and mean nothing by themselves.
        utterance: What was heard.
        findings: Those that came of it.
    """
    weighty = weighty_words(grammar)
    findings = tuple(findings)
    spans = [_span(utterance, finding) for finding in findings]
    unsure = {(w.start, w.end) for w in utterance.words if (w.confidence or 0.0) < UNSURE_WORD}
    covered = [(p.start, p.end) for f in findings for p in f.said if p.utterance == utterance.id]
    heard = _heard_by_all(utterance)
    for match in _WORD.finditer(utterance.text):
        start, end, word = match.start(), match.end(), match.group().lower()
        near = int((start, end) in unsure)
        inside = any(span and span[0] - near <= end and start <= span[1] + near for span in spans)
        known = word in weighty.idle or word in weighty.critical or word in heard
        if inside and not known and not any(a < end and start < b for a, b in covered):
            yield Disputed(start, end, "", TAUGHT)


def _heard_by_all(utterance: Utterance) -> set[str]:
    """Words that all of at least three listeners heard."""
    if len(utterance.hearings) < LISTENERS:
        return set()
    heard = (set(_WORD.findall(hearing.text.lower())) for hearing in utterance.hearings)
    return set.intersection(*heard)


def around(
    findings: dict[Key, Finding], utterance: Utterance, stretch: Disputed
) -> dict[Key, Finding]:
    """Findings that have a stretch in their midst, or right beside: it may be part of them.

    A stretch in the very words of some findings is part of those alone.
    """
    own = {
        key: finding
        for key, finding in findings.items()
        if any(
            place.utterance == utterance.id
            and place.start < stretch.end
            and stretch.start < place.end
            for place in finding.said
        )
    }
    if own:
        return own
    found = {}
    for key, finding in findings.items():
        span = _span(utterance, finding)
        if span is None:
            continue
        before, after = (
            utterance.text[stretch.end : span[0]],
            utterance.text[span[1] : stretch.start],
        )
        apart = (stretch.end <= span[0] and before != " ") or (
            stretch.start >= span[1] and after != " "
        )
        if not apart:
            found[key] = finding
    return found


def unclear(grammar: Grammar, utterance: Utterance) -> bool:
    """Tell whether an utterance that came to nothing may have been a statement.

    It may, where both listeners heard the same side or number in it and the rest is unsure.
    """
    critical = weighty_words(grammar).critical
    first, second = (set(hearing.text.split()) for hearing in utterance.hearings[:2])
    if not first & second & critical:
        return False
    if any(stretch.kind not in ("talk", "far") for stretch in utterance.disputed):
        return True
    sure = [word.confidence for word in utterance.words if word.confidence is not None]
    return bool(utterance.disputed) and sum(sure) < UNSURE_TALK * len(sure)


def _span(utterance: Utterance, finding: Finding) -> tuple[int, int] | None:
    spots = [(p.start, p.end) for p in finding.said if p.utterance == utterance.id]
    return (min(a for a, _ in spots), max(b for _, b in spots)) if spots else None
