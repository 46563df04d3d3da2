"""Findings, questions, sections and words along the recording.

As WebVTT (W3C, "WebVTT: The Web Video Text Tracks Format") and as SubRip (SRT; no standard, common
practice). Times are whole milliseconds from the start of the sound.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from dictate.errors import InputError
from dictate.grammar import Grammar
from dictate.grammar.wording import finding_phrase
from dictate.model import Finding, Place, Record, Utterance
from dictate.render.standing import Stated, state_words, stated, still_asked
from dictate.render.unchecked import marked

#: A caption stays this many milliseconds, where the next one lets it; less cannot be read.
READABLE = 1000
#: Words of one caption of what was spoken; more do not fit on two lines.
_WORDS = 12
_NOT_HEARD = "Added in writing, not in the recording"


@dataclass(frozen=True, slots=True)
class Cue:
    """One caption cue; ``start`` and ``end`` in milliseconds, end after start."""

    start: int
    end: int
    lines: tuple[str, ...]


def captions(record: Record, grammar: Grammar) -> str:
    """Each finding, and each open question, at the time at which its words were spoken.

    What was said in the same breath ("deltoids five") is one caption of several lines, and a
    caption ends where the next one begins. What an addendum changed stands where the words were
    spoken that it changed; what it added in writing has no time, and stands in a comment.

    Args:
        record: A record with times.
        grammar: Where the words come from.

    Raises:
        InputError: The record comes from typed text and has no times.
    """
    return _file(record, _of_findings(record, grammar), _untimed(record, grammar))


def subtitles(record: Record, grammar: Grammar) -> str:
    """The same captions as SubRip, for programs that read no WebVTT.

    Args:
        record: A record with times.
        grammar: Where the words come from.

    Raises:
        InputError: The record comes from typed text and has no times.
    """
    return _subrip(record, _of_findings(record, grammar), _untimed(record, grammar))


def spoken_words(record: Record, grammar: Grammar | None = None) -> str:
    """Every word that was heard, a few to a caption, talk and commands included.

    Args:
        record: A record with times.
        grammar: Not needed; taken so that all outputs are called alike.

    Raises:
        InputError: The record comes from typed text and has no times.
    """
    cues = [cue for utterance in record.utterances for cue in _of_words(utterance)]
    if not cues:
        raise _needs_sound("Captions of the words")
    return _file(record, _apart(cues))


def _of_words(utterance: Utterance) -> Iterator[Cue]:
    timed = [word for word in utterance.words if word.start_s is not None]
    for first in range(0, len(timed), _WORDS):
        part = timed[first : first + _WORDS]
        text = utterance.text[part[0].start : part[-1].end]
        start, end = part[0].start_s or 0.0, part[-1].end_s or 0.0
        yield Cue(round(start * 1000), max(round(end * 1000), round(start * 1000) + 1), (text,))
    if not timed and utterance.start is not None and utterance.end is not None:
        start_ms = round(utterance.start * 1000)
        end_ms = max(round(utterance.end * 1000), start_ms + 1)
        yield Cue(start_ms, end_ms, (utterance.text,))


def _of_findings(record: Record, grammar: Grammar) -> list[Cue]:
    rows = stated(record)
    cues = [
        Cue(*span, (_line(row, grammar),))
        for row in rows
        if not row.withdrawn and (span := _span_of(row, rows)) is not None
    ]
    cues += [
        Cue(*span, (f"To be settled: {question.prompt}",))
        for question in still_asked(record)
        if (span := _span(question.about)) is not None
    ]
    if not cues:
        raise _needs_sound("Captions")
    return _apart(cues)


def _line(row: Stated, grammar: Grammar) -> str:
    """A finding in words, and how it stands where a signature has an addendum."""
    words = marked(finding_phrase(grammar, row.finding), row.finding.checked is False)
    if row.taken_out is not None:
        return f"{words} (taken out by addendum {row.taken_out}, which is not signed)"
    if row.addendum is not None:
        unsigned = "" if row.state == "signed" else ", not signed"
        return f"{words} (addendum {row.addendum}{unsigned})"
    return words


def _span_of(row: Stated, rows: Sequence[Stated]) -> tuple[int, int] | None:
    """When it was spoken; of what was changed in writing, when what it changed was spoken."""
    span = _span(row.finding.said)
    if span is not None or row.addendum is None:
        return span
    of = (row.finding.test, row.finding.site, row.finding.side)
    changed = (
        _span(old.finding.said)
        for old in rows
        if old.taken_out == row.addendum
        and (old.finding.test, old.finding.site, old.finding.side) == of
    )
    return next(changed, None)


def _untimed(record: Record, grammar: Grammar) -> list[str]:
    """What an addendum added in writing: no second of the recording is its own."""
    rows = stated(record)
    return [
        _line(row, grammar)
        for row in rows
        if row.addendum is not None and not row.withdrawn and _span_of(row, rows) is None
    ]


def chapters(record: Record, grammar: Grammar) -> str:
    """The sections of the examination in the order in which they were spoken.

    Args:
        record: A record with times.
        grammar: Where the names of the sections come from.

    Raises:
        InputError: The record comes from typed text and has no times.
    """
    cues: list[Cue] = []
    for (start, end), finding in _timed(record):
        title = grammar.area_of(finding.test).heading.note
        last = cues[-1] if cues else None
        if last is not None and title in last.lines[0].split(", "):
            cues[-1] = Cue(last.start, max(last.end, end), last.lines)
        elif last is not None and start <= last.start:
            # spoken in the same breath: chapters may not overlap, so it is one with both names
            cues[-1] = Cue(last.start, max(last.end, end), (f"{last.lines[0]}, {title}",))
        else:
            if last is not None:
                cues[-1] = Cue(last.start, start, last.lines)
            cues.append(Cue(start, end, (title,)))
    return _file(record, cues)


def _timed(record: Record) -> list[tuple[tuple[int, int], Finding]]:
    """The findings with their spans in milliseconds, in the order of time."""
    rows = stated(record)
    spans = [(_span_of(row, rows), row.finding) for row in rows if not row.withdrawn]
    timed = [(span, finding) for span, finding in spans if span is not None]
    if not timed:
        raise _needs_sound("Chapters")
    return sorted(timed, key=lambda pair: pair[0])


def _needs_sound(what: str) -> InputError:
    return InputError(
        f"{what} need sound: nothing in this record has a time. "
        "Use a record that was made from a recording."
    )


def _span(said: Sequence[Place]) -> tuple[int, int] | None:
    """When it was complete: its places in the last utterance that it was taken from.

    An earlier utterance may have given no more than the side or the test.
    """
    times = [
        (place.utterance, place.start_s, place.end_s)
        for place in said
        if place.start_s is not None and place.end_s is not None
    ]
    if not times:
        return None
    latest = max(times, key=lambda time: time[1])[0]
    start = min(round(begin * 1000) for utterance, begin, _ in times if utterance == latest)
    end = max(round(end * 1000) for utterance, _, end in times if utterance == latest)
    return start, max(end, start + 1)


def _apart(cues: Sequence[Cue]) -> list[Cue]:
    """Captions by time: those with one start joined, each over before the next begins."""
    joined: dict[int, Cue] = {}
    for cue in sorted(cues, key=lambda cue: cue.start):
        first = joined.get(cue.start, Cue(cue.start, cue.end, ()))
        lines = dict.fromkeys((*first.lines, *cue.lines))
        joined[cue.start] = Cue(cue.start, max(first.end, cue.end), tuple(lines))
    starts = [*joined][1:]
    ends = [max(cue.end, cue.start + READABLE) for cue in joined.values()]
    limits = [*starts, max(ends, default=0)]
    return [
        Cue(cue.start, min(end, limit), cue.lines)
        for cue, end, limit in zip(joined.values(), ends, limits, strict=True)
    ]


def _file(record: Record, cues: Sequence[Cue], untimed: Sequence[str] = ()) -> str:
    """WebVTT. Comments say whether the note is signed, and what has no time; no viewer shows
    them."""
    blocks = [
        "\n".join([f"{_clock(cue.start)} --> {_clock(cue.end)}", *map(_escape, cue.lines)])
        for cue in cues
    ]
    notes = [state_words(record), *(f"{_NOT_HEARD}: {line}" for line in untimed)]
    comments = [f"NOTE {_escape(note)}".replace("--&gt;", "") for note in notes]
    return "\n\n".join(["WEBVTT", *comments, *blocks]) + "\n"


def _subrip(record: Record, cues: Sequence[Cue], untimed: Sequence[str] = ()) -> str:
    """SubRip has no comments: the first caption says whether the note is signed, and what has
    no time."""
    more = [f"[{state_words(record)}]", *(f"[{_NOT_HEARD}: {line}]" for line in untimed)]
    first = Cue(cues[0].start, cues[0].end, (*cues[0].lines, *more))
    blocks = [
        "\n".join(
            [
                str(number),
                f"{_clock(cue.start, ',')} --> {_clock(cue.end, ',')}",
                *(" ".join(line.split()) for line in cue.lines),
            ]
        )
        for number, cue in enumerate([first, *cues[1:]], 1)
    ]
    return "\n\n".join(blocks) + "\n"


def _clock(milliseconds: int, point: str = ".") -> str:
    seconds, rest = divmod(milliseconds, 1000)
    minutes, seconds = divmod(seconds, 60)
    hours, minutes = divmod(minutes, 60)
    return f"{hours:02}:{minutes:02}:{seconds:02}{point}{rest:03}"


def _escape(text: str) -> str:
    """One line, with the three signs that WebVTT gives a meaning written as names."""
    line = " ".join(text.split())
    return line.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
