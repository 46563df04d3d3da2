"""The text of an utterance that two listeners heard, and the places in it that they dispute."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from dictate.model import Disputed, Word
from dictate.recognise.align import Spoken
from dictate.recognise.talk import SENTENCE, sure_of

#: What the listener that knows the trade is called in a record.
TAUGHT = "taught"
#: The taught listener's mean confidence from which its reading of talk is asked about all the
#: same, if a finding would come of it.
FIRM_TALK = 0.93
#: Silence between two words that is written as a comma (seconds): speakers set off what belongs
#: together, and a list without its pauses reads as something else.
PAUSE_S = 0.12


@dataclass(frozen=True, slots=True)
class Judgement:
    """The text of an utterance, its words, and where the listeners do not agree."""

    text: str
    words: tuple[Word, ...]
    disputed: tuple[Disputed, ...]


@dataclass(slots=True)
class Piece:
    """Neighbouring words that are judged alike; ``kind`` as in Disputed, or "agreed"."""

    kind: str
    taught: list[int]
    other: list[int]
    instead: str = ""


def pieces_of(kinds: list[str], owners: Sequence[int | None]) -> list[Piece]:
    """Neighbours of one kind together; the other's words with the word that they lie under."""
    pieces: list[Piece] = []
    theirs = 0
    for i, kind in enumerate(kinds):
        until = max((k + 1 for k, owner in enumerate(owners) if owner == i), default=theirs)
        first = min((k for k, owner in enumerate(owners) if owner == i), default=until)
        loose = list(range(theirs, max(theirs, first)))
        if kind == "agreed" and loose:
            pieces.append(Piece("loose", [], loose))
            loose = []
        own = list(range(max(theirs, first), max(theirs, until)))
        if pieces and pieces[-1].kind == kind != "other":
            pieces[-1].taught.append(i)
            pieces[-1].other += loose + own
        else:
            pieces.append(Piece(kind, [i], loose + own))
        theirs = max(theirs, until)
    if theirs < len(owners):
        rest = list(range(theirs, len(owners)))
        short = len(rest) < SENTENCE and pieces and pieces[-1].kind in {"doubted", "other"}
        if short or (pieces and pieces[-1].kind == "talk"):
            pieces[-1].other += rest
        else:
            pieces.append(Piece("loose", [], rest))
    return pieces


def lay_pieces(
    pieces: list[Piece], mine: list[Spoken], theirs: list[Spoken], listener: str
) -> Judgement:
    """The text, with each piece's place in it."""
    page = _Page()
    disputed: list[Disputed] = []
    for piece in pieces:
        own = [mine[i] for i in piece.taught]
        other = [theirs[k] for k in piece.other]
        talk = piece.kind == "talk"
        shown, instead = (other, own) if talk else (own, other)
        heard = {word.text for word in instead}
        places = [
            page.write(word, piece.kind == "agreed" or (talk and word.text in heard))
            for word in shown
        ]
        if piece.kind != "agreed":
            start = places[0].start if places else len(page.text)
            end = places[-1].end if places else len(page.text)
            said = piece.instead or " ".join(word.text for word in instead)
            firm = talk and own and sure_of(own) >= FIRM_TALK
            name, kind = TAUGHT if talk else listener, "doubted" if firm else piece.kind
            disputed.append(Disputed(start, end, said, name, kind))  # type: ignore[arg-type]
    return Judgement(page.text, tuple(page.words), tuple(disputed))


class _Page:
    """Text as it grows, with a comma where the speaker paused."""

    def __init__(self) -> None:
        self.text = ""
        self.words: list[Word] = []

    def write(self, word: Spoken, agreed: bool) -> Word:
        if self.words:
            paused = word.start_s - (self.words[-1].end_s or 0.0) >= PAUSE_S
            self.text += ", " if paused else " "
        start = len(self.text)
        self.text += word.text
        self.words.append(
            Word(
                word.text, start, len(self.text), word.start_s, word.end_s, word.confidence, agreed
            )
        )
        return self.words[-1]
