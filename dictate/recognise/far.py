"""Words that were spoken far from the microphone: marked, to be asked about, and never left out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from statistics import median

from dictate.audio.nearness import FAR_DB, Nearness
from dictate.model import Disputed, Utterance, Word
from dictate.recognise.joining import HeardWord, Stretch

#: A soft word less than this away from a loud one belongs to it (seconds), unless nothing but soft
#: words follow to the end, or come before, and they are softer than a voice is that falls (dB).
PAUSE_S = 0.2
SOFTER_DB = 13.0


def mark_far(stretch: Stretch, nearness: Nearness) -> Stretch:
    """The words of an utterance, those marked that were spoken far away.

    Args:
        stretch: What each listener heard.
        nearness: Levels of the sound, up to the end of the utterance.
    """
    return tuple(_marked(words, nearness) for words in stretch)


def _marked(words: Sequence[HeardWord], nearness: Nearness) -> tuple[HeardWord, ...]:
    under = [nearness.under_near_db(word.start_s, word.end_s) for word in words]
    soft = [db > FAR_DB for db in under]
    marked: list[HeardWord] = []
    for first, last in _runs(soft):
        before = words[first].start_s - words[first - 1].end_s if first else PAUSE_S
        after = words[last].start_s - words[last - 1].end_s if last < len(words) else PAUSE_S
        apart = before >= PAUSE_S and after >= PAUSE_S
        at_edge = first == 0 or last == len(words)
        far = soft[first] and (apart or (at_edge and median(under[first:last]) > SOFTER_DB))
        marked.extend(replace(word, far=far) for word in words[first:last])
    return tuple(marked)


def _runs(flags: Sequence[bool]) -> Iterator[tuple[int, int]]:
    """Where equal flags follow one another."""
    first = 0
    for i in range(1, len(flags) + 1):
        if i == len(flags) or flags[i] != flags[first]:
            yield first, i
            first = i


def far_spans(utterance: Utterance) -> list[tuple[float, float]]:
    """Start and end (seconds) of the words of an utterance that are marked as far."""
    far = [stretch for stretch in utterance.disputed if stretch.kind == "far"]
    return [
        (word.start_s or 0.0, word.end_s or 0.0)
        for word in utterance.words
        if any(stretch.start <= word.start < stretch.end for stretch in far)
    ]


def far_stretches(
    words: Sequence[Word], spans: Sequence[tuple[float, float]], listener: str
) -> tuple[Disputed, ...]:
    """Where the words of an utterance are those that were spoken far away.

    Args:
        words: Of the utterance, with their times.
        spans: Start and end of what was spoken far away (seconds).
        listener: Who hears nothing there, if what is far does not count.
    """
    far = [
        any((word.start_s or 0.0) < end and start < (word.end_s or 0.0) for start, end in spans)
        for word in words
    ]
    return tuple(
        Disputed(words[first].start, words[last - 1].end, "", listener, "far")
        for first, last in _runs(far)
        if far[first]
    )
