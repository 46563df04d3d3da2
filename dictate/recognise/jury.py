"""Three listeners' words for the same seconds: what the pair's judge makes of them.

The third settles what the open listener does not confirm, by the same rule of likeness, and only
where it is a witness of the whole utterance: if it heard another thing beside the word, it tells
of another sentence. It makes no words of the text. What it alone heard counts only where it would
turn a statement round, and then it is asked.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.model import Disputed, Word
from dictate.recognise.align import Alignment, Spoken, align, spoken
from dictate.recognise.joining import HeardWord
from dictate.recognise.judge import SAME, Judge
from dictate.recognise.page import Judgement
from dictate.recognise.sounds import alike

#: The third is a witness of an utterance if it heard something so like every word (0 to 1).
WITNESS = 0.4


class Jury:
    """Judges with the words of one grammar."""

    def __init__(self, judge: Judge) -> None:
        """Take the judge of the pair.

        Args:
            judge: Knows the words of the trade and the rules of likeness.
        """
        self._judge = judge

    def judge(
        self,
        taught: Sequence[HeardWord],
        other: Sequence[HeardWord],
        third: Sequence[HeardWord],
        listener: str = "open",
        third_listener: str = "third",
    ) -> Judgement:
        """Compare what three listeners heard.

        Args:
            taught: Words of the listener that knows the trade, in order.
            other: Words of the open one, over the same seconds.
            third: Words of the third.
            listener: What the open one is called.
            third_listener: What the third is called.
        """
        mine = self._judge.real(taught)
        theirs, thirds = ([spoken([word]) for word in heard] for heard in (other, third))
        lines, third_lines = align(mine, theirs), align(mine, thirds)
        kinds = self._judge.kinds(mine, theirs, lines)
        if self._is_witness(mine, thirds, third_lines):
            for i, kind in enumerate(kinds):
                under = [theirs[k] for k, owner in enumerate(lines.owners) if owner == i]
                if kind in ("doubted", "other") and not self._stands(mine[i], under, thirds):
                    kinds[i] = "agreed"
        found = self._judge.lay(kinds, mine, theirs, lines, listener)
        return self._with_turns(found, mine, thirds, third_lines, third_listener)

    def _is_witness(self, mine: list[Spoken], thirds: list[Spoken], lines: Alignment) -> bool:
        """Tell whether the third confirms each of my words, those that mean nothing too."""
        kinds = self._judge.kinds(mine, thirds, lines)
        return all(
            kind == "agreed" and match.likeness >= WITNESS
            for kind, match in zip(kinds, lines.matches, strict=True)
        )

    def _stands(self, word: Spoken, theirs: list[Spoken], thirds: list[Spoken]) -> bool:
        """Tell whether a dispute stands though the third confirms my word.

        It does where the open listener heard what would turn the statement round, and where both
        others heard the same word of the trade, which is another than mine.
        """
        if any(self._judge.turned(word, other) for other in theirs):
            return True
        common = {w.text for w in theirs} & {w.text for w in thirds} & self._judge.trade
        return any(
            rival != word.text and rival not in word.heard and alike(rival, word.text) < SAME
            for rival in common
        )

    def _with_turns(
        self,
        found: Judgement,
        mine: list[Spoken],
        thirds: list[Spoken],
        lines: Alignment,
        listener: str,
    ) -> Judgement:
        """Dispute what only the third heard, where it would turn a statement round."""
        words, disputed = list(found.words), list(found.disputed)
        places = {(word.start_s, word.text): n for n, word in enumerate(words)}
        for other, owner in zip(thirds, lines.owners, strict=True):
            if other.text not in self._judge.turning:
                continue
            if owner is None:
                at = _gap(words, other)
                if not any(stretch.start <= at <= stretch.end for stretch in disputed):
                    disputed.append(Disputed(at, at, other.text, listener))
                continue
            n = places.get((mine[owner].start_s, mine[owner].text))
            if n is None or not self._judge.turned(mine[owner], other):
                continue  # the text there is talk, or my word says the same
            words[n] = replace(words[n], agreed=False)
            disputed.append(Disputed(words[n].start, words[n].end, other.text, listener))
        disputed.sort(key=lambda stretch: (stretch.start, stretch.end))
        return Judgement(found.text, tuple(words), tuple(disputed))


def _gap(words: list[Word], said: Spoken) -> int:
    """The place in the text where a word would stand that was said between its words."""
    before = [word for word in words if (word.start_s or 0.0) < said.start_s]
    return before[-1].end if before else 0
