"""An utterance with what another listener heard in the place of a stretch, and the way back."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from dictate.model import Disputed, Place, Utterance, Word


def within(utterance: Utterance) -> Utterance:
    """The utterance with its disputed stretches cut off where its text ends."""
    last = len(utterance.text)
    if all(stretch.end <= last for stretch in utterance.disputed):
        return utterance
    cut = (replace(d, start=min(d.start, last), end=min(d.end, last)) for d in utterance.disputed)
    return replace(utterance, disputed=tuple(cut))


def other_text(utterance: Utterance, stretch: Disputed) -> Utterance:
    """The utterance as it reads with the other listener's words; it disputes nothing.

    Args:
        utterance: As it is.
        stretch: One of its disputed stretches.
    """
    start, end = stretch.start, stretch.end
    before = [word for word in utterance.words if word.end <= start]
    inside = [word for word in utterance.words if word.start < end and start < word.end]
    after = [word for word in utterance.words if word.start >= end]
    put = _put_in(utterance, stretch)
    text = utterance.text[:start] + put + utterance.text[end:]
    shift = len(put) - (end - start)
    words = [
        *before,
        *_words_in(put, start, inside),
        *(replace(word, start=word.start + shift, end=word.end + shift) for word in after),
    ]
    return Utterance(utterance.id, text, utterance.start, utterance.end, tuple(words))


def places_in(
    utterance: Utterance, stretch: Disputed, places: Iterable[Place]
) -> tuple[Place, ...]:
    """Places of the other text, counted in the utterance's own."""
    length = len(_put_in(utterance, stretch))

    def back(position: int, edge: int) -> int:
        if position <= stretch.start:
            return position
        if position >= stretch.start + length:
            return position - length + stretch.end - stretch.start
        return edge

    return tuple(
        replace(place, start=back(place.start, stretch.start), end=back(place.end, stretch.end))
        if place.utterance == utterance.id
        else place
        for place in places
    )


def _put_in(utterance: Utterance, stretch: Disputed) -> str:
    """What takes the place, with a space at its sides where none stands there."""
    text = utterance.text
    put = stretch.instead
    if put and stretch.start and text[stretch.start - 1] != " ":
        put = f" {put}"
    if put and stretch.end < len(text) and text[stretch.end] != " ":
        put = f"{put} "
    return put


def _words_in(put: str, start: int, inside: list[Word]) -> list[Word]:
    """Words of the other listener, all with the times of the stretch."""
    starts = [word.start_s for word in inside if word.start_s is not None]
    ends = [word.end_s for word in inside if word.end_s is not None]
    words: list[Word] = []
    position = start
    for text in put.split():
        at = start + put.index(text, position - start)
        position = at + len(text)
        words.append(Word(text, at, position, min(starts, default=None), max(ends, default=None)))
    return words
