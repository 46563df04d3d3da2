"""Three listeners over one utterance: what two of them heard stands, the rest is asked.

The adapted listener's words are the text. Where the taught one heard others, the open one decides
if it heard the very words of one of the two, and the adapted one has its say by how likely each is
for the sound (forced likelihood, ``weighing.py``): it may confirm the taught one, and overrule it
alone beyond a gap that was fitted for that kind of difference. What
nobody settles is disputed, so that a finding that hangs on it becomes one question with both.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import inf
from pathlib import Path
from typing import Protocol

from dictate.errors import ModelError
from dictate.grammar.load import Grammar
from dictate.model import Disputed, Hearing, Utterance, Word
from dictate.recognise.adapter import Manifest, read_manifest
from dictate.recognise.far import far_spans, far_stretches
from dictate.recognise.joining import HeardWord
from dictate.recognise.judge import Judge
from dictate.recognise.listening import Listening, Listens, Progress
from dictate.recognise.marks import paused
from dictate.recognise.page import TAUGHT
from dictate.recognise.pair import OPEN, PairRecogniser, find_pair
from dictate.recognise.talk import is_plain_talk
from dictate.recognise.three import ThreeListening, ThreeRecogniser, find_three
from dictate.recognise.weighing import Gap, Weigh, Weighing, bare

#: What the adapted listener is called in a record, and to a reader.
ADAPTED, CALLED = "adapted", "adapted listener"


class Ear(Protocol):
    """What hears words in a stretch of sound, and weighs readings of it."""

    def hear(self, samples: bytes, start_s: float) -> tuple[HeardWord, ...]:
        """What is said in it (``dictate.recognise.adapted.AdaptedListener``)."""
        ...

    def weigh(self, texts: Sequence[str]) -> list[float]:
        """How likely each text is for the sound that was heard last."""
        ...


class EarRecogniser(Listens):
    """The pair, and the adapted listener that hears each of its utterances once more."""

    name = "ear"

    def __init__(
        self,
        pair: PairRecogniser,
        ear: Ear | None,
        grammar: Grammar,
        lacks: str = "",
        progress: Progress | None = None,
        gaps: Mapping[str, Gap] | None = None,
    ) -> None:
        """Put them together.

        Args:
            pair: The two that find the utterances, and that it goes on with where the ear fails.
            ear: The adapted listener; None where there is none.
            grammar: Words of the trade.
            lacks: Why there is none; a clause.
            progress: Called after each chunk with the seconds heard so far, and the seconds in
                all or None.
            gaps: Those that were fitted for this adapted listener.
        """
        super().__init__(progress)
        self._pair, self._ear, self._lacks = pair, ear, lacks
        self._weighing = Weighing(grammar, gaps)

    @property
    def has_ear(self) -> bool:
        """Whether the adapted listener is there."""
        return self._ear is not None

    def start(self) -> ThreeListening:
        """Begin with a new sound, fed chunk by chunk.

        Raises:
            ModelError: The taught listener cannot be started.
        """
        return ThreeListening(self._pair.start(), self._ear, self._check, self._lacks, CALLED)

    def start_preview(self) -> Listening:
        """Begin with a new sound of which the words are only shown: the pair alone.

        Raises:
            ModelError: The taught listener cannot be started.
        """
        return self._pair.start_preview()

    def _check(self, utterance: Utterance, heard: tuple[HeardWord, ...]) -> Utterance:
        """What the pair heard, judged anew with what the adapted listener heard."""
        if self._ear is None:
            return utterance
        return combined(utterance, heard, self._ear.weigh, self._weighing, self._pair.judge)


def combined(
    utterance: Utterance,
    heard: Sequence[HeardWord],
    weigh: Weigh,
    weighing: Weighing,
    judge: Judge,
) -> Utterance:
    """An utterance of the pair as the taught and the adapted listener heard it.

    Args:
        utterance: As the pair made it, with its hearings.
        heard: Words of the adapted listener, with their marks.
        weigh: Tells how likely texts are for its sound.
        weighing: Compares the words.
        judge: Turns the taught listener's spellings into real words.
    """
    hearing = Hearing(ADAPTED, *_laid(heard, set()))
    heard = [weighing.plain(word) for word in heard]
    text, words = _laid(heard, set())
    if not heard:
        return replace(utterance, hearings=(*utterance.hearings, hearing))
    found = next(h for h in utterance.hearings if h.listener == TAUGHT)
    taught = [
        word
        for spoken in judge.real([_heard(word) for word in found.words])
        for word in spoken.text.lower().split()
    ]
    if not taught:
        whole = Disputed(0, len(text), "", TAUGHT, "apart")
        disputed = [whole]
    else:
        other = next((h.text for h in utterance.hearings if h.listener == OPEN), "").split()
        plain = [bare(word.text) for word in heard]
        if is_plain_talk(plain, taught, other, weighing.trade):
            stand, disputes = list(heard), list[tuple[int, int, str, float]]()
        else:
            stand, disputes = weighing.settle(heard, taught, other, weigh)
        stand = paused(stand, found.words)
        unsure = {place for first, last, *_ in disputes for place in range(first, last)}
        text, words = _laid(stand, unsure)
        disputed = [_stretch(words, *dispute) for dispute in disputes]
    far = far_stretches(words, far_spans(utterance), OPEN)
    return replace(
        utterance,
        text=text,
        words=words,
        disputed=(*disputed, *far),
        readings=(),
        hearings=(*utterance.hearings, hearing),
    )


def _stretch(words: Sequence[Word], first: int, last: int, instead: str, lead: float) -> Disputed:
    if first < last:
        return Disputed(words[first].start, words[last - 1].end, instead, TAUGHT, "apart", lead)
    at = words[first - 1].end if first else 0
    return Disputed(at, at, instead, TAUGHT, "apart", lead)


def _laid(heard: Sequence[HeardWord], unsure: set[int]) -> tuple[str, tuple[Word, ...]]:
    """Words as a text with their marks, and as words cut out of it without them."""
    words: list[Word] = []
    text = ""
    for place, word in enumerate(heard):
        text += " " if text else ""
        plain = bare(word.text)
        words.append(
            Word(
                plain, len(text), len(text) + len(plain), word.start_s, word.end_s,
                word.confidence, place not in unsure,
            )
        )  # fmt: skip
        text += word.text
    return re.sub(r"[,.]+$", "", text), tuple(words)


def _heard(word: Word) -> HeardWord:
    return HeardWord(word.text, word.start_s or 0.0, word.end_s or 0.0, word.confidence)


def gaps_of(manifest: Manifest) -> dict[str, Gap]:
    """The gaps that were fitted for an adapter, from its manifest."""
    return {
        kind: Gap(*(inf if lead is None else float(lead) for lead in leads))
        for kind, leads in manifest.gaps.items()
    }


def find_ear_recogniser(grammar: Grammar, progress: Progress | None = None) -> EarRecogniser:
    """The listeners of this computer; with a notice where the adapted one was brought and fails.

    Raises:
        ModelError: The pair's model is not here, or cannot be used.
    """
    from dictate.recognise.adapted import AdaptedListener
    from dictate.recognise.ear_store import adapter_folder, find_ear, wants_ear

    pair = find_pair(grammar, progress)
    try:
        if not wants_ear():
            return EarRecogniser(pair, None, grammar, progress=progress)
        ear = AdaptedListener(find_ear())
        gaps = gaps_of(read_manifest(adapter_folder()))
    except ModelError as error:
        return EarRecogniser(pair, None, grammar, str(error), progress)
    return EarRecogniser(pair, ear, grammar, progress=progress, gaps=gaps)


def find_listeners(
    grammar: Grammar, third: bool, progress: Progress | None = None
) -> EarRecogniser | ThreeRecogniser:
    """The recogniser of all sound, live or recorded: with the adapted listener, or with the third.

    Raises:
        ModelError: The pair's model is not here, or cannot be used.
    """
    return find_three(grammar, progress) if third else find_ear_recogniser(grammar, progress)


def ear_words(folder: Path, sound: Path) -> str:
    """What the adapted listener in a folder hears of a sound file, in plain words.

    Raises:
        ModelError: It cannot be used; a clause.
    """
    from dictate.audio.file import FileSource
    from dictate.recognise.adapted import AdaptedListener

    samples = b"".join(chunk.samples for chunk in FileSource(sound).chunks())
    heard = AdaptedListener(folder).hear(samples, 0.0)
    return " ".join(bare(word.text) for word in heard)
