"""Findings and sections along the recording, as WebVTT (W3C, "WebVTT: The Web Video Text Tracks
Format"). Times are whole milliseconds from the start of the sound."""

from __future__ import annotations

from dataclasses import dataclass

from dictate.errors import InputError
from dictate.grammar import Grammar
from dictate.grammar.wording import finding_phrase
from dictate.model import Finding, Record


@dataclass(frozen=True, slots=True)
class Cue:
    """One caption cue; ``start`` and ``end`` in milliseconds, end after start."""

    start: int
    end: int
    text: str


def captions(record: Record, grammar: Grammar) -> str:
    """Each finding at the time at which it was spoken.

    Args:
        record: A record with times.
        grammar: Where the words come from.

    Raises:
        InputError: The record comes from typed text and has no times.
    """
    timed = _timed(record, "Captions")
    return _file([Cue(*span, finding_phrase(grammar, finding)) for span, finding in timed])


def chapters(record: Record, grammar: Grammar) -> str:
    """The sections of the examination in the order in which they were spoken.

    Args:
        record: A record with times.
        grammar: Where the names of the sections come from.

    Raises:
        InputError: The record comes from typed text and has no times.
    """
    cues: list[Cue] = []
    for (start, end), finding in _timed(record, "Chapters"):
        title = grammar.area_of(finding.test).heading.note
        last = cues[-1] if cues else None
        if last is not None and title in last.text.split(", "):
            cues[-1] = Cue(last.start, max(last.end, end), last.text)
        elif last is not None and start <= last.start:
            # spoken in the same breath: chapters may not overlap, so it is one with both names
            cues[-1] = Cue(last.start, max(last.end, end), f"{last.text}, {title}")
        else:
            if last is not None:
                cues[-1] = Cue(last.start, start, last.text)
            cues.append(Cue(start, end, title))
    return _file(cues)


def _timed(record: Record, what: str) -> list[tuple[tuple[int, int], Finding]]:
    """The findings with their spans in milliseconds, in the order of time."""
    spans = [(_span(finding), finding) for finding in record.findings]
    timed = [(span, finding) for span, finding in spans if span is not None]
    if not timed:
        raise InputError(
            f"{what} need sound: no finding of this record has a time. "
            "Use a record that was made from a recording."
        )
    return sorted(timed, key=lambda pair: pair[0])


def _span(finding: Finding) -> tuple[int, int] | None:
    """Where a finding was complete: its places in the last utterance that it was taken from.

    An earlier utterance may have given no more than the side or the test.
    """
    times = [
        (place.utterance, place.start_s, place.end_s)
        for place in finding.said
        if place.start_s is not None and place.end_s is not None
    ]
    if not times:
        return None
    latest = max(times, key=lambda time: time[1])[0]
    start = min(round(begin * 1000) for utterance, begin, _ in times if utterance == latest)
    end = max(round(end * 1000) for utterance, _, end in times if utterance == latest)
    return start, max(end, start + 1)


def _file(cues: list[Cue]) -> str:
    blocks = [f"{_clock(cue.start)} --> {_clock(cue.end)}\n{_escape(cue.text)}" for cue in cues]
    return "\n\n".join(["WEBVTT", *blocks]) + "\n"


def _clock(milliseconds: int) -> str:
    seconds, rest = divmod(milliseconds, 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02}:{minutes:02}:{seconds:02}.{rest:03}"


def _escape(text: str) -> str:
    """One line, with the three signs that WebVTT gives a meaning written as names."""
    line = " ".join(text.split())
    return line.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
