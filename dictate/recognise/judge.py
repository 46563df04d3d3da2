"""Two listeners' words for the same seconds, made into one text and what is disputed in it.

The words of the listener that knows the trade count where the open one heard something that sounds
like them. Where what they heard is unlike and the open listener is the surer of the two, it was
talk, and the open listener's words are the text.

Every threshold here was chosen on data that ``tests/benchmarks/bench_alike.py`` prints.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from dictate.grammar.load import Grammar
from dictate.recognise.align import Alignment, Spoken, align, spoken
from dictate.recognise.heard_as import Back, restore
from dictate.recognise.joining import HeardWord, lay_out
from dictate.recognise.page import Judgement, Piece, lay_pieces, pieces_of
from dictate.recognise.scraps import Scraps
from dictate.recognise.sounds import likeness, sounds_of
from dictate.recognise.talk import SENTENCE, talk_in
from dictate.recognise.weighty import Nearest, weighty_words

#: A word has many sounds from here on, and is not met by chance.
LONG = 5
#: The likeness (0 to 1) that the other listener must have heard, by the confidence with which a
#: word was heard (this, and more). Each for words with few sounds and for LONG ones.
LIKE = ((0.95, (0.4, 0.3)), (0.85, (0.4, 0.35)), (0.6, (0.8, 0.6)))
#: The same for a side, number, negation, correction or exception, which are short and turn a
#: finding round.
LIKE_CRITICAL = ((0.95, (0.65, 0.4)), (0.85, (0.65, 0.5)), (0.6, (0.85, 0.85)))
#: A word heard with this confidence or more stands where the other heard the very word.
FAINT = 0.4
#: A word that turns a statement round is hidden in a critical one of mine from this likeness on.
HIDES = 0.65
#: From here on two words are the same word by ear ("for" and four, "know" and no).
SAME = 0.9
#: The other's word is a rival if it is of the trade and was heard with this confidence (CLEAR), or
#: if what it heard sounds like a word of the trade (SOUNDS), so much more than mine (LEAD).
CLEAR, SOUNDS, LEAD = 0.7, 0.8, 0.15
#: A word heard with this confidence or more has no rival that only sounds more like it.
CERTAIN = 0.99


class Judge:
    """Judges by the words of one grammar.

    Attributes:
        trade: Every word on which a finding hangs.
        turning: Sides, negations, corrections and exceptions.
    """

    def __init__(self, grammar: Grammar, back: Back, scraps: Scraps | None = None) -> None:
        """Collect the words that matter.

        Args:
            grammar: What the taught listener was taught.
            back: What turns its words into the real ones.
            scraps: The same for parts of them.
        """
        self._weighty = weighty_words(grammar)
        self.trade = self._weighty.trade
        self.turning = self._weighty.critical - self._weighty.numbers
        self._nearest = Nearest(self.trade)
        #: Number words, and what is heard for them, by the number.
        self._numbers = {word: n for n, forms in grammar.numbers.numbers.items() for word in forms}
        self._numbers |= grammar.misheard.numbers()
        self._back = back
        self._scraps = scraps

    def judge(
        self, taught: Sequence[HeardWord], other: Sequence[HeardWord], listener: str = "open"
    ) -> Judgement:
        """Compare what two listeners heard.

        Args:
            taught: Words of the listener that knows the trade, in order.
            other: Words of the other one, over the same seconds.
            listener: What the other one is called.
        """
        mine = self.real(taught)
        theirs = [spoken([word]) for word in other]
        lines = align(mine, theirs)
        return self.lay(self.kinds(mine, theirs, lines), mine, theirs, lines, listener)

    def lay(
        self,
        kinds: list[str],
        mine: list[Spoken],
        theirs: list[Spoken],
        lines: Alignment,
        listener: str,
    ) -> Judgement:
        """Lay out words of which it is known what they are.

        Args:
            kinds: As ``kinds`` gives them.
            mine: Real words of the taught listener.
            theirs: Words of the other.
            lines: How they lie under each other.
            listener: What the other one is called.
        """
        pieces = [
            self._loose(piece, theirs, bool(mine)) for piece in pieces_of(kinds, lines.owners)
        ]
        for piece in pieces:
            if piece.kind == "other":
                i = piece.taught[0]
                under = _under(i, theirs, lines)
                piece.instead = self._other_bridge(mine[i], under) or self._rival(mine[i], under)
        return lay_pieces([piece for piece in pieces if piece.kind], mine, theirs, listener)

    def _loose(self, piece: Piece, theirs: list[Spoken], heard: bool) -> Piece:
        """Words that only the other heard: talk, or one that matters, or nothing to mention."""
        if piece.kind != "loose":
            return piece
        if len(piece.other) >= SENTENCE or not heard:
            return replace(piece, kind="talk")
        matters = any(theirs[k].text in self.turning for k in piece.other)
        return replace(piece, kind="doubted" if matters else "")

    def real(self, heard: Sequence[HeardWord]) -> list[Spoken]:
        """The real words, each with the sounds of what the engine heard for it.

        Args:
            heard: Words of the taught listener.
        """
        found: list[Spoken] = []
        at = 0
        for word in restore(lay_out(heard)[1], self._back, self._scraps):
            end = at + 1
            while end < len(heard) and heard[end].end_s <= (word.end_s or 0.0):
                end += 1
            found.append(spoken(heard[at:end], word.text))
            at = end
        return found

    def kinds(self, mine: list[Spoken], theirs: list[Spoken], lines: Alignment) -> list[str]:
        """What each of my words is: agreed, talk, or disputed as ``model.Disputed`` says.

        Args:
            mine: Real words of the taught listener.
            theirs: Words of the other.
            lines: How they lie under each other.
        """
        talk = talk_in(mine, theirs, lines)
        kinds = [
            "talk" if talk[i] else self._kind(i, mine, theirs, lines) for i in range(len(mine))
        ]
        for k, owner in enumerate(lines.owners):
            if owner is not None and self.turned(mine[owner], theirs[k]):
                kinds[owner] = "doubted" if kinds[owner] != "talk" else "talk"
        return kinds

    def _kind(self, i: int, mine: list[Spoken], theirs: list[Spoken], lines: Alignment) -> str:
        """Whether the other listener confirms a word."""
        word, like = mine[i], lines.matches[i].likeness
        critical = bool(set(word.heard) & self._weighty.critical)
        if self._other_bridge(word, _under(i, theirs, lines)):
            return "other"
        if word.text in self._weighty.idle and not critical:
            return "agreed"
        if not _confirmed(word, like, critical, _under(i, theirs, lines)):
            return "doubted"
        return "other" if self._rival(word, _under(i, theirs, lines)) else "agreed"

    def _rival(self, mine: Spoken, theirs: list[Spoken]) -> str:
        """The word of the trade that the other listener rather seems to have heard; "" if none.

        It is one that the other heard as it is, or the one that sounds most like what it heard.
        """
        heard = "".join(word.sounds for word in theirs)
        own = likeness(mine.sounds, heard)
        if own >= SAME:
            return ""
        known = (w.text for w in theirs if w.text in self._weighty.trade and w.confidence >= CLEAR)
        rival = next(known, "")
        if not rival and mine.confidence < CERTAIN:
            rival, like = self._nearest.find(heard)
            if like < SOUNDS or like < own + LEAD:
                return ""
        if not rival or rival in mine.heard or rival == mine.text:
            return ""
        if self._numbers.get(rival, rival) == self._numbers.get(mine.text, mine.text):
            return ""
        same = max((likeness(mine.sounds, way) for way in sounds_of(rival)), default=0.0)
        return rival if same < SAME else ""

    def _other_bridge(self, mine: Spoken, theirs: list[Spoken]) -> str:
        """ "Four to five" for "four of five": what the other heard between two numbers."""
        if mine.text not in self._weighty.bridges:
            return ""
        return next((w.text for w in theirs if w.text in self._weighty.bridges - {mine.text}), "")

    def turned(self, mine: Spoken, theirs: Spoken) -> bool:
        """Only the other heard a word that turns a statement round, and mine does not hide it."""
        if theirs.text not in self.turning:
            return False
        same = likeness(mine.sounds, theirs.sounds) >= HIDES
        if set(mine.heard) & self._weighty.critical and same:
            return False
        return len(mine.sounds) < 2 * len(theirs.sounds)


def _under(i: int, theirs: list[Spoken], lines: Alignment) -> list[Spoken]:
    """The other's words that lie under one of mine."""
    return [theirs[k] for k, owner in enumerate(lines.owners) if owner == i]


def _confirmed(word: Spoken, like: float, critical: bool, heard: list[Spoken]) -> bool:
    """Tell whether what the other heard is like enough, for how surely mine was heard."""
    long = len(word.sounds) >= LONG
    if any(other.text in (word.text, *word.heard) for other in heard) and len(word.sounds) > 2:
        return word.confidence >= FAINT
    needed = LIKE_CRITICAL if critical else LIKE
    return any(word.confidence >= sure and like >= least[long] for sure, least in needed)
