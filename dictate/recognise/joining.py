"""Results of one or several listeners, cut at the same seconds, put together to utterances."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from dictate.model import Utterance, Word

#: Two results with less silence than this between them are one utterance (seconds). Vosk ends
#: an utterance after 0.5 s of silence where the words make a likely end, 0.75 s elsewhere, and
#: after 20 s of speech in any case. Measured: 0.54 s inside a sentence, 0.0 to 0.1 s where the
#: 20 s were up, 0.72 s and more between statements.
JOIN_GAP_S = 0.6
#: An utterance does not grow beyond this by joining (seconds): a listener that hears it once more
#: as a whole takes at most 30 s, with some silence before and after.
LONGEST_S = 28.0
#: How far behind the sound the engine's words may lie (seconds); measured 0.31.
LAG_S = 0.5


@dataclass(frozen=True, slots=True)
class HeardWord:
    """A word of an engine's result, its times from the start of the whole sound (seconds).

    ``ways``: on the first word of a result, the ways to hear the whole result, likeliest first.
    ``far``: it was much quieter than what is spoken near the microphone.
    """

    text: str
    start_s: float
    end_s: float
    confidence: float | None
    ways: tuple[Way, ...] = ()
    far: bool = False


@dataclass(frozen=True, slots=True)
class Way:
    """A way to hear a result: its words, and how far it is ``behind`` the likeliest one (the
    difference of the logarithms of their likelihoods, 0 and more)."""

    behind: float
    words: tuple[HeardWord, ...]


#: What each listener heard over the same seconds, in the order of the listeners.
Stretch = tuple[tuple[HeardWord, ...], ...]
#: Makes an utterance of an id and a stretch that is not empty.
Make = Callable[[str, Stretch], Utterance]


class Joining:
    """Puts results together that no real pause divides; holds one back to see what follows."""

    def __init__(self, make: Make) -> None:
        """Start with nothing held."""
        self._make = make
        self._held: Stretch = ()
        self._number = 0

    def take(self, stretch: Stretch) -> Iterator[Utterance]:
        """Take a result in; hand out the utterance before it if this is another one."""
        if not any(stretch):
            return
        if self._held and not self._belongs(stretch):
            yield from self.end()
        self._held = _together(self._held, stretch)

    def end(self) -> Iterator[Utterance]:
        """Hand out what is held."""
        if self._held:
            self._number += 1
            yield self._make(f"u{self._number}", self._held)
        self._held = ()

    def with_more(self, stretch: Stretch) -> Utterance | None:
        """What is held with words that are not final yet, as the coming utterance."""
        apart = self._held and any(stretch) and not self._belongs(stretch)
        heard = stretch if apart else _together(self._held, stretch)
        return self._make(f"u{self._number + 1}", heard) if any(heard) else None

    def may_let_go(self, now_s: float) -> bool:
        """Tell whether the silence after what is held is already too long to join over."""
        return bool(self._held) and now_s - _end_s(self._held) > JOIN_GAP_S + LAG_S

    def _belongs(self, stretch: Stretch) -> bool:
        short_pause = _start_s(stretch) - _end_s(self._held) < JOIN_GAP_S
        return short_pause and _end_s(stretch) - _start_s(self._held) <= LONGEST_S


def lay_out(words: Sequence[HeardWord]) -> tuple[str, tuple[Word, ...]]:
    """Words as a text, one space between them, and as words cut out of it."""
    laid: list[Word] = []
    position = 0
    for word in words:
        end = position + len(word.text)
        laid.append(Word(word.text, position, end, word.start_s, word.end_s, word.confidence))
        position = end + 1
    return " ".join(word.text for word in words), tuple(laid)


def heard_alone(identity: str, words: Sequence[HeardWord]) -> Utterance:
    """The utterance that one listener heard; ``words`` are not empty."""
    text, laid = lay_out(words)
    return Utterance(identity, text, words[0].start_s, words[-1].end_s, laid)


def _together(before: Stretch, after: Stretch) -> Stretch:
    if not before:
        return after
    return tuple((*one, *more) for one, more in zip(before, after, strict=True))


def _start_s(stretch: Stretch) -> float:
    return min(words[0].start_s for words in stretch if words)


def _end_s(stretch: Stretch) -> float:
    return max(words[-1].end_s for words in stretch if words)
