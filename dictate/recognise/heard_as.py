"""Words that the speech model does not know, spelt for it in words that it does, and back."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace

from dictate.grammar.load import Grammar
from dictate.model import Utterance, Word
from dictate.recognise.scraps import Scraps
from dictate.recognise.spoken import Unit

#: What the engine hears, and the word that it stands for.
Back = Mapping[tuple[str, ...], str]


class Speller:
    """Writes units as an engine can hear them, and keeps what must be turned back."""

    def __init__(self, grammar: Grammar, knows: Callable[[str], bool]) -> None:
        """Make a speller.

        Args:
            grammar: Where the spellings stand.
            knows: Tells whether the engine can hear a word (lower case).
        """
        self._spellings = {word.lower(): (word, ways) for word, ways in grammar.heard_as.items()}
        self._asked: dict[str, bool] = {}
        self._engine_knows = knows
        self.back: dict[tuple[str, ...], str] = {}
        self.unheard: dict[str, None] = {}

    def knows(self, word: str) -> bool:
        """Tell whether the engine can hear a word, asking it once."""
        if word not in self._asked:
            self._asked[word] = self._engine_knows(word)
        return self._asked[word]

    def ways(self, unit: Unit) -> tuple[str, ...]:
        """All ways to write a unit for the engine; none where it cannot hear it."""
        found: dict[tuple[str, ...], None] = {}
        plain = unit.word is not None and self.knows(unit.word)
        if plain and (not unit.written or len(unit.written) > 3):
            found[(unit.word or "",)] = None
        written, spelt = self._spellings.get(unit.word or "", ("", ()))
        for spelling in spelt:
            self._take(tuple(spelling.lower().split()), unit.written or written, found)
        for said in unit.said if unit.word is None or unit.written else ():
            self._take(said, unit.written, found)
        if not found:
            self.unheard[unit.written or unit.word or " ".join(unit.said[0])] = None
        return tuple(" ".join(words) for words in found)

    def _take(
        self, words: tuple[str, ...], written: str, found: dict[tuple[str, ...], None]
    ) -> None:
        if not all(map(self.knows, words)):
            return
        found[words] = None
        if written and words != (written,):
            self.back.setdefault(words, written)


def restore(words: Sequence[Word], back: Back, scraps: Scraps | None = None) -> tuple[Word, ...]:
    """Turn the engine's words back into the real ones, the longest spelling first.

    Args:
        words: As the engine heard them, in order.
        back: The spellings, as ``Phrases.back`` holds them.
        scraps: Knows what parts of spellings sound like; None to leave them as they are.

    Returns:
        The real words, laid out anew with one space between them. One that stands for several
        has the start of the first, the end of the last and the lowest confidence.
    """
    longest = max(map(len, back), default=0)
    found: list[Word] = []
    at = 0
    while at < len(words):
        word, used = _at(words, at, back, longest)
        found.append(word)
        at += used
    for mended in reversed(scraps.find(found) if scraps else []):
        heard = found[mended.first : mended.last]
        found[mended.first : mended.last] = [_joined(mended.word, heard)]
    return _laid_anew(found)


def _laid_anew(words: Sequence[Word]) -> tuple[Word, ...]:
    """The words with one space between them."""
    laid: list[Word] = []
    position = 0
    for word in words:
        end = position + len(word.text)
        laid.append(replace(word, start=position, end=end))
        position = end + 1
    return tuple(laid)


def restore_utterance(utterance: Utterance, back: Back, scraps: Scraps | None = None) -> Utterance:
    """An utterance with the engine's words turned back, and its text made of the real ones."""
    words = restore(utterance.words, back, scraps)
    return replace(utterance, words=words, text=" ".join(word.text for word in words))


def _at(words: Sequence[Word], at: int, back: Back, longest: int) -> tuple[Word, int]:
    for size in range(min(longest, len(words) - at), 0, -1):
        heard = words[at : at + size]
        real = back.get(tuple(word.text for word in heard))
        if real is not None:
            return _joined(real, heard), size
    return words[at], 1


def _joined(real: str, heard: Sequence[Word]) -> Word:
    sure = _lowest(word.confidence for word in heard)
    return replace(
        heard[0], text=real, start_s=heard[0].start_s, end_s=heard[-1].end_s, confidence=sure
    )


def _lowest(values: Iterable[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return min(known) if known else None
