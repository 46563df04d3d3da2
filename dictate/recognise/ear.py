"""Three listeners over one utterance: what two of them heard stands, the rest is asked.

The adapted listener's words are the text. Where the taught one heard others, the open one decides
if it heard the very words of one of the two, and the adapted one has its say by how likely each is
for the sound (forced likelihood): it may confirm the taught one, never overrule it alone. What
nobody settles is disputed, so that a finding that hangs on it becomes one question with both.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from pathlib import Path
from typing import Protocol

from dictate.errors import ModelError
from dictate.grammar.load import Grammar
from dictate.model import Disputed, Hearing, Utterance, Word
from dictate.recognise.far import far_spans, far_stretches
from dictate.recognise.joining import HeardWord
from dictate.recognise.judge import Judge
from dictate.recognise.listening import Listening, Listens, Progress
from dictate.recognise.page import TAUGHT
from dictate.recognise.pair import OPEN, PairRecogniser, find_pair
from dictate.recognise.three import ThreeListening, ThreeRecogniser, find_three
from dictate.recognise.weighty import weighty_words

#: What the adapted listener is called in a record, and to a reader.
ADAPTED, CALLED = "adapted", "adapted listener"
#: How much likelier the adapted listener must find a reading, so that the other is no match for it
#: (difference of logarithms). Of two texts it picks the right one in 98 of 100 from 5 on.
GAP = 6.0
_MARKS = ".,;:?!"

#: Tells how likely texts are for the sound that was heard last (logarithms).
Weigh = Callable[[Sequence[str]], list[float]]


class Ear(Protocol):
    """What hears words in a stretch of sound, and weighs readings of it."""

    def hear(self, samples: bytes, start_s: float) -> tuple[HeardWord, ...]:
        """What is said in it (``dictate.recognise.adapted.AdaptedListener``)."""
        ...

    def weigh(self, texts: Sequence[str]) -> list[float]:
        """How likely each text is for the sound that was heard last."""
        ...


@dataclass(frozen=True, slots=True)
class Difference:
    """Words of the adapted listener, ``first`` to ``last``, and of the taught one, ``begin`` to
    ``end`` (all exclusive at the end)."""

    first: int
    last: int
    begin: int
    end: int


class Weighing:
    """Compares what the two heard, by the words of one grammar."""

    def __init__(self, grammar: Grammar) -> None:
        """Collect the words that matter."""
        weighty = weighty_words(grammar)
        numbers = grammar.numbers.numbers
        self._same = {word: n for n, words in numbers.items() for word in words}
        self._same |= grammar.misheard.numbers()
        self._trade = weighty.trade
        mean = {form.lower() for form in _alone(grammar)} | weighty.critical | weighty.bridges
        self._idle = {*map(str.lower, (*grammar.speech.glue, *grammar.speech.hesitation))} - mean

    def plain(self, word: HeardWord) -> HeardWord:
        """A word of the trade without an apostrophe that it does not have ("arm's")."""
        joined = word.text.replace("'", "").replace("’", "")
        if joined == word.text or bare(joined) not in self._trade:
            return word
        return replace(word, text=joined)

    def differences(self, mine: Sequence[str], theirs: Sequence[str]) -> Iterator[Difference]:
        """Where two heard apart, and it is more than words that mean nothing by themselves.

        Args:
            mine: Words of the adapted listener.
            theirs: Words of the taught one.
        """
        matcher = SequenceMatcher(None, list(mine), list(theirs), autojunk=False)
        for what, *place in matcher.get_opcodes():
            one = Difference(*place)
            if what != "equal" and not {
                *mine[one.first : one.last],
                *theirs[one.begin : one.end],
            } <= (self._idle):
                yield one

    def settle(
        self,
        heard: Sequence[HeardWord],
        taught: Sequence[str],
        open_words: Sequence[str],
        weigh: Weigh,
    ) -> tuple[list[HeardWord], list[tuple[int, int, str]]]:
        """The words that stand, and the stretches of them that stay disputed.

        Args:
            heard: Words of the adapted listener, with their marks.
            taught: Words of the taught one.
            open_words: Words of the open one.
            weigh: Tells how likely texts are.

        Returns:
            The words, and for each dispute the first and last word (exclusive) and the other's
            words for them.

        Raises:
            ModelError: Nothing can be weighed.
        """
        plain = [bare(word.text) for word in heard]
        found = list(self.differences(plain, taught))
        if not found:
            return list(heard), []
        mine = [word.text for word in heard]
        texts = [" ".join(mine)]
        texts += [" ".join(_instead(mine, one, taught[one.begin : one.end])) for one in found]
        likely = weigh(texts)
        words: list[HeardWord] = []
        disputes: list[tuple[int, int, str]] = []
        at = 0
        for one, other in zip(found, likely[1:], strict=True):
            words += heard[at : one.first]
            at = one.last
            said = taught[one.begin : one.end]
            with_mine = _confirms(plain, one.first, one.last, open_words)
            with_taught = _confirms(taught, one.begin, one.end, open_words)
            ahead = likely[0] - other
            own = list(heard[one.first : one.last])
            if ahead <= (GAP if with_taught and not with_mine else -GAP):
                own = _timed(one, heard, said)
            elif not (with_mine and not with_taught) or self._alike(plain, one, said):
                disputes.append((len(words), len(words) + len(own), " ".join(said)))
            words += own
        return words + list(heard[at:]), disputes

    def _alike(self, plain: Sequence[str], one: Difference, said: Sequence[str]) -> bool:
        """Tell whether they are one number by ear ("for", four): then nobody can hear which."""
        mine = [self._same.get(word, word) for word in plain[one.first : one.last]]
        return mine == [self._same.get(word, word) for word in said]


def _alone(grammar: Grammar) -> Iterator[str]:
    """Forms of the grammar on which a finding hangs."""
    for scale in grammar.scales.values():
        for part in scale.parts.values():
            yield from part.spoken
        for forms in scale.words.values():
            yield from forms
    for test in grammar.tests.values():
        yield from (*test.spoken, *test.plural, *test.after_site, *test.after_site_plural)
        for value in test.values.values():
            yield from (*value.spoken, *value.alone)
        for forms in test.details.values():
            yield from forms
    for name in grammar.tests:
        for site in grammar.sites_of(name).values():
            yield from (*site.spoken, *site.plural)
    for forms in grammar.sets.values():
        yield from forms


def _confirms(words: Sequence[str], first: int, last: int, other: Sequence[str]) -> bool:
    """Tell whether another heard the very same in its place: these words, with their neighbours."""
    matcher = SequenceMatcher(None, list(words), list(other), autojunk=False)
    low, high = max(0, first - 1), min(len(words), last + 1)
    if first == last:  # nothing: the neighbours follow one another for the other too
        return any(b.a <= low and high <= b.a + b.size for b in matcher.get_matching_blocks())
    return any(b.a <= first and last <= b.a + b.size for b in matcher.get_matching_blocks())


def bare(text: str) -> str:
    """A word without the marks at its end."""
    return text.rstrip(_MARKS)


def _instead(mine: Sequence[str], one: Difference, instead: Sequence[str]) -> list[str]:
    """The words with the other's in the place of a difference; a mark stays where it was."""
    said = list(instead)
    if said and one.last > one.first:
        last = mine[one.last - 1]
        said[-1] += last[len(bare(last)) :]
    return [*mine[: one.first], *said, *mine[one.last :]]


def _timed(one: Difference, heard: Sequence[HeardWord], instead: Sequence[str]) -> list[HeardWord]:
    """The other's words, spread over the time of those that they stand for."""
    part = heard[one.first : one.last]
    begin_s = part[0].start_s if part else heard[max(0, one.first - 1)].end_s
    end_s = part[-1].end_s if part else begin_s
    step_s = (end_s - begin_s) / max(1, len(instead))
    said = _instead([word.text for word in part], Difference(0, len(part), 0, 0), instead)
    return [
        HeardWord(text, begin_s + n * step_s, begin_s + (n + 1) * step_s, None)
        for n, text in enumerate(said)
    ]


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
    ) -> None:
        """Put them together.

        Args:
            pair: The two that find the utterances, and that it goes on with where the ear fails.
            ear: The adapted listener; None where there is none.
            grammar: Words of the trade.
            lacks: Why there is none; a clause.
            progress: Called after each chunk with the seconds heard so far, and the seconds in
                all or None.
        """
        super().__init__(progress)
        self._pair, self._ear, self._lacks = pair, ear, lacks
        self._weighing = Weighing(grammar)

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
        other = next((h.text for h in utterance.hearings if h.listener == OPEN), "")
        stand, disputes = weighing.settle(heard, taught, other.split(), weigh)
        unsure = {place for first, last, _ in disputes for place in range(first, last)}
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


def _stretch(words: Sequence[Word], first: int, last: int, instead: str) -> Disputed:
    if first < last:
        return Disputed(words[first].start, words[last - 1].end, instead, TAUGHT, "apart")
    at = words[first - 1].end if first else 0
    return Disputed(at, at, instead, TAUGHT, "apart")


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


def find_ear_recogniser(grammar: Grammar, progress: Progress | None = None) -> EarRecogniser:
    """The listeners of this computer; with a notice where the adapted one was brought and fails.

    Raises:
        ModelError: The pair's model is not here, or cannot be used.
    """
    from dictate.recognise.adapted import AdaptedListener
    from dictate.recognise.ear_store import find_ear, wants_ear

    pair = find_pair(grammar, progress)
    try:
        if not wants_ear():
            return EarRecogniser(pair, None, grammar, progress=progress)
        ear = AdaptedListener(find_ear())
    except ModelError as error:
        return EarRecogniser(pair, None, grammar, str(error), progress)
    return EarRecogniser(pair, ear, grammar, progress=progress)


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
