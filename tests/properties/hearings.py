"""Hearings of two listeners as they may come: words with times, disputes, other ways to hear it.

Nothing promises sense: a dispute may lie anywhere in the text, be empty, or go beyond its end.
"""

from __future__ import annotations

import re
from dataclasses import replace

from hypothesis import strategies as st

from dictate.model import Disputed, Hearing, Reading, Utterance, Word

from .strategies import TALK, sayings, words

KINDS = ("doubted", "other", "talk", "far")
_WORD = re.compile(r"[^\s,.:;]+")


def _said(draw: st.DrawFn) -> str:
    text = draw(st.one_of(sayings(), sayings(), st.sampled_from(TALK)))
    return text if _WORD.search(text) else draw(st.sampled_from(TALK))


def _words(draw: st.DrawFn, text: str, start_s: float) -> tuple[Word, ...]:
    found, at_s = [], start_s
    for match in _WORD.finditer(text):
        until_s = at_s + draw(st.sampled_from((0.05, 0.2, 0.5)))
        sure = draw(st.sampled_from((1.0, 1.0, 0.95, 0.6, 0.2, None)))
        agreed = draw(st.sampled_from((True, True, False, None)))
        found.append(Word(match.group(), match.start(), match.end(), at_s, until_s, sure, agreed))
        at_s = until_s + draw(st.sampled_from((0.0, 0.0, 0.1, 0.4)))
    return tuple(found)


def _disputed(draw: st.DrawFn, text: str) -> tuple[Disputed, ...]:
    edges = sorted({0, len(text), *(p for m in _WORD.finditer(text) for p in m.span())})
    place = st.one_of(st.sampled_from(edges), st.integers(0, len(text) + 4))
    instead = st.lists(st.sampled_from(words()), max_size=2).map(" ".join)
    found = []
    for _ in range(draw(st.integers(0, 3))):
        start, end = sorted((draw(place), draw(place)))
        found.append(
            Disputed(start, end, draw(instead), draw(st.sampled_from(("open", "taught"))),
                     draw(st.sampled_from(KINDS)))
        )  # fmt: skip
    return tuple(found)


@st.composite
def hearings(draw: st.DrawFn, number: int = 1, start_s: float = 0.0) -> Utterance:
    """One utterance as two listeners heard it."""
    text = _said(draw)
    heard = _words(draw, text, start_s)
    other = draw(st.one_of(st.just(text), sayings(), st.just("")))
    readings = []
    for _ in range(draw(st.integers(0, 2))):
        way = _said(draw)
        readings.append(
            Reading(draw(st.floats(0, 4)), way, _words(draw, way, start_s), _disputed(draw, way),
                    Hearing("taught", way))
        )  # fmt: skip
    ends_s = heard[-1].end_s if heard else start_s
    return Utterance(
        f"u{number}", text, start_s, ends_s, heard,
        hearings=(Hearing("taught", text, heard), Hearing("open", other)),
        disputed=_disputed(draw, text), readings=tuple(readings),
    )  # fmt: skip


@st.composite
def dictations(draw: st.DrawFn) -> list[Utterance]:
    """A few utterances, one after the other."""
    found: list[Utterance] = []
    for number in range(1, draw(st.integers(1, 4)) + 1):
        start_s = (found[-1].end or 0.0) + 1.0 if found else 0.0
        found.append(draw(hearings(number, start_s)))
    return found


def begun(draw: st.DrawFn, whole: Utterance) -> Utterance:
    """The first words of an utterance, as a preview holds them: its disputes stay as they were."""
    many = draw(st.integers(1, len(whole.words)))
    kept = whole.words[:many]
    end = kept[-1].end if kept else 0
    return replace(whole, text=whole.text[:end], words=kept, readings=())
