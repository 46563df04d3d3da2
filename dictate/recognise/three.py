"""A third listener beside the pair: it can settle what the two dispute, and raise its own doubts.

It is an extra. It hears the sound of each utterance when that is complete; where it is missing or
fails, a notice says so and the pair goes on alone.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import replace
from typing import Protocol

from dictate.audio.source import RATE_HZ, SAMPLE_BYTES, AudioChunk, clock
from dictate.errors import ModelError
from dictate.grammar.load import Grammar
from dictate.model import Hearing, Utterance
from dictate.recognise.ahead import Ahead
from dictate.recognise.far import far_spans, far_stretches
from dictate.recognise.joining import HeardWord, lay_out
from dictate.recognise.jury import Jury
from dictate.recognise.listening import Listening, Listens, Progress
from dictate.recognise.page import TAUGHT
from dictate.recognise.pair import OPEN, PairRecogniser, find_pair
from dictate.recognise.spoken import Speaker

#: What the third listener is called in a record.
THIRD = "third"
#: Sound before and after an utterance that is heard with it (seconds).
MARGIN_S = 0.3
#: Sound that is kept for the utterance that is not complete yet (seconds): the longest one, and
#: the longest result of the engines after it, which only shows that it was complete.
KEPT_S = 60.0


class Third(Protocol):
    """What hears words in a stretch of sound that is there as a whole."""

    def hear(self, samples: bytes, start_s: float) -> tuple[HeardWord, ...]:
        """What is said in it, in spoken words, lower case.

        Args:
            samples: 16 kHz mono, little-endian int16.
            start_s: Where it starts; added to the times of the words.

        Raises:
            ModelError: It fails; a clause without remedy.
        """
        ...


class ThreeRecogniser(Listens):
    """The pair, and a third listener that hears each utterance of theirs once more."""

    name = "three"

    def __init__(
        self,
        pair: PairRecogniser,
        third: Third | None,
        lacks: str = "",
        progress: Progress | None = None,
    ) -> None:
        """Put the three together.

        Args:
            pair: The two that it goes on with where the third fails.
            third: The third; None where there is none.
            lacks: Why there is none; a clause.
            progress: Called after each chunk with the seconds heard so far, and the seconds in
                all or None.
        """
        super().__init__(progress)
        self._pair, self._third, self._lacks = pair, third, lacks
        self._jury = Jury(pair.judge)

    def start(self) -> ThreeListening:
        """Begin with a new sound, fed chunk by chunk.

        Raises:
            ModelError: The taught listener cannot be started.
        """
        return ThreeListening(self._pair.start(), self._third, self._check, self._lacks)

    def start_preview(self) -> Listening:
        """Begin with a new sound of which the words are only shown: the pair alone.

        Raises:
            ModelError: The taught listener cannot be started.
        """
        return self._pair.start_preview()

    def _check(self, utterance: Utterance, third: tuple[HeardWord, ...]) -> Utterance:
        """What the pair heard, judged anew with what the third heard."""
        heard = {hearing.listener: _words_of(hearing) for hearing in utterance.hearings}
        found = self._jury.judge(heard[TAUGHT], heard[OPEN], third, OPEN, THIRD)
        return replace(
            utterance,
            text=found.text,
            words=found.words,
            disputed=(
                *found.disputed,
                *far_stretches(found.words, far_spans(utterance), OPEN),
            ),
            hearings=(*utterance.hearings, Hearing(THIRD, *lay_out(third))),
        )


class ThreeListening:
    """One pass over one sound; the third hears what the pair hands out."""

    def __init__(
        self,
        pair: Listening,
        third: Third | None,
        check: Callable[[Utterance, tuple[HeardWord, ...]], Utterance],
        lacks: str = "",
        called: str = "third listener",
    ) -> None:
        """Begin.

        Args:
            pair: The pass of the two others.
            third: The third; None where there is none.
            check: Judges an utterance of the pair with the third's words.
            lacks: Why there is none; a clause.
            called: What it is called to a reader.
        """
        self._pair, self._third, self._check, self._called = pair, third, check, called
        self._sound: deque[AudioChunk] = deque()
        self._own = [missing(lacks, called)] if third is None and lacks else []
        self._ahead = Ahead(third.hear) if third is not None else None

    @property
    def notices(self) -> list[str]:
        """What the reader of the record must know; may grow."""
        return [*self._pair.notices, *self._own]

    def feed(self, chunk: AudioChunk) -> list[Utterance]:
        """Take the next chunk; hand out the utterances that are complete now.

        Raises:
            ModelError: The taught listener fails.
        """
        if self._third is not None:
            self._sound.append(chunk)
        done = self._heard(self._pair.feed(chunk))
        while self._sound and chunk.end_s - self._sound[0].end_s > KEPT_S:
            self._sound.popleft()
        return done

    def pause(self, so_far: Utterance) -> None:
        """The speaker has paused: the third begins to hear, in case that was all."""
        if self._ahead is None or so_far.start is None or so_far.end is None:
            return
        sound, from_s = self._cut(so_far.start - MARGIN_S, so_far.end + MARGIN_S)
        if sound:
            self._ahead.begin(sound, from_s, so_far.start, so_far.end)

    def end_now(self) -> list[Utterance]:
        """A pause was heard: make the words so far final; they are held to be joined."""
        return self._heard(self._pair.end_now())

    def so_far(self) -> Utterance | None:
        """What the pair has heard of the utterance that is not complete yet."""
        return self._pair.so_far()

    def finish(self) -> list[Utterance]:
        """The sound has ended: hand out what is left."""
        return self._heard(self._pair.finish())

    def _heard(self, done: list[Utterance]) -> list[Utterance]:
        return [self._with_third(utterance) for utterance in done]

    def _with_third(self, utterance: Utterance) -> Utterance:
        """The utterance as the three heard it; as the pair did where the open one has failed."""
        start_s, end_s = utterance.start or 0.0, utterance.end or 0.0
        sound, from_s = self._cut(start_s - MARGIN_S, end_s + MARGIN_S)
        while self._sound and self._sound[0].end_s < end_s - MARGIN_S:
            self._sound.popleft()
        if self._third is None or len(utterance.hearings) < 2:
            return utterance
        try:
            third = self._ahead.take(start_s, end_s) if self._ahead is not None else None
            if third is None:
                third = self._third.hear(sound, from_s)
            return self._check(utterance, third)
        except ModelError as error:
            self._third = self._ahead = None
            self._sound.clear()
            self._own.append(failure(str(error), start_s, self._called))
            return utterance

    def _cut(self, start_s: float, end_s: float) -> tuple[bytes, float]:
        """The kept sound between two places (seconds), and where it starts."""
        parts: list[bytes] = []
        from_s = start_s
        for chunk in self._sound:
            first = max(0, round((start_s - chunk.start_s) * RATE_HZ)) * SAMPLE_BYTES
            last = max(0, round((end_s - chunk.start_s) * RATE_HZ)) * SAMPLE_BYTES
            part = chunk.samples[first:last]
            if not part:
                continue
            if not parts:
                from_s = chunk.start_s + first / (SAMPLE_BYTES * RATE_HZ)
            parts.append(part)
        return b"".join(parts), from_s


def find_three(grammar: Grammar, progress: Progress | None = None) -> ThreeRecogniser:
    """The pair of this computer with the third listener, or with a notice why that is not here.

    Raises:
        ModelError: The pair's model is not here, or cannot be used.
    """
    from dictate.recognise.whisper import WhisperListener, find_weights

    pair = find_pair(grammar, progress)
    try:
        third = WhisperListener(find_weights(), sayer(grammar))
    except ModelError as error:
        return ThreeRecogniser(pair, None, str(error), progress)
    return ThreeRecogniser(pair, third, progress=progress)


def sayer(grammar: Grammar) -> Callable[[str], list[str]]:
    """How written words are spoken ("5/5": five out of five), by the grammar's number words."""
    speaker = Speaker(grammar)

    def say(written: str) -> list[str]:
        return [word for unit in speaker.units(written) for word in unit.said[0]]

    return say


def missing(reason: str, called: str = "third listener") -> str:
    """The notice for the reader of the record that a further listener is not there at all."""
    return f"The {called} is not here ({reason}): two listeners check each other."


def failure(reason: str, at_s: float, called: str = "third listener") -> str:
    """The notice for the reader of the record that a further listener failed (seconds)."""
    return (
        f"The {called} failed at {clock(at_s)} ({reason}): "
        "from there on two listeners check each other."
    )


def _words_of(hearing: Hearing) -> list[HeardWord]:
    return [
        HeardWord(word.text, word.start_s or 0.0, word.end_s or 0.0, word.confidence)
        for word in hearing.words
    ]
