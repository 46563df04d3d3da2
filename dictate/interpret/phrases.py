"""Folded forms, found in tokens by spaCy's phrase matcher.

A grammar has tens of thousands of forms and a narration uses a few hundred words: what begins
with a word is handed to the matcher when that word is first heard, so that the first line is read
at once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from spacy.matcher import PhraseMatcher
from spacy.tokens import Doc
from spacy.vocab import Vocab

#: A form as folded words.
Key = tuple[str, ...]


class Phrases:
    """The forms of a grammar; several lexicons may share them."""

    def __init__(self) -> None:
        """Hold nothing yet."""
        self._vocab = Vocab()
        self._matcher = PhraseMatcher(self._vocab, attr="ORTH")
        self._waiting: dict[str, dict[Key, None]] = {}
        self._names: dict[int, Key] = {}
        self._heard: set[str] = set()

    def add(self, keys: Iterable[Key]) -> None:
        """Let forms be found from now on; one that is there already stays.

        Args:
            keys: None of them empty.
        """
        for key in keys:
            self._waiting.setdefault(key[0], {})[key] = None
            self._heard.discard(key[0])

    def find(self, words: Sequence[str]) -> list[tuple[int, int, Key]]:
        """Where forms stand, overlapping ones too.

        Args:
            words: Folded, none of them empty.

        Returns:
            First word, word after the last, and the form.
        """
        for word in words:
            if word not in self._heard:
                self._heard.add(word)
                self._hand_over(word)
        found = self._matcher(Doc(self._vocab, words=list(words)))
        return [(start, end, self._names[name]) for name, start, end in found]

    def _hand_over(self, word: str) -> None:
        for key in self._waiting.pop(word, ()):
            form = " ".join(key)
            name = self._vocab.strings.add(form)
            if name not in self._names:
                self._matcher.add(form, [Doc(self._vocab, words=list(key))])
                self._names[name] = key
