"""The tool's own voice in what the microphone hears: found by its words and times, and left out.

While a sentence sounds and shortly after it, what is heard is laid beside what was spoken. A run
of words that matches is the tool's. What the examiner says over it is kept; where it cannot be
told who spoke, the words are kept with so little confidence that the session asks about them.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from dictate.listen.alignment import Match, align
from dictate.model import Disputed, Utterance, Word

#: Words heard up to this long after a sentence ended may be its echo (seconds).
AFTER_S = 0.3
#: The clocks of microphone and loudspeaker agree to within this (seconds).
_CLOCKS_S = 0.2
#: A word is the tool's only if it was heard within this of when it was spoken (seconds). When it
#: was spoken is known to 0.65 s at worst (measured), to 0.4 s as a rule; a word alone must keep
#: to the rule, and so must each word once it is known how far apart the two clocks are.
_APART_S, _CLOSE_S = 0.8, 0.45
#: So much of what was spoken must have been heard for the rest of it to be the tool's too.
_ENOUGH = 0.6
#: So many words tell how far apart the clocks are.
_SEVERAL = 3
#: Confidence (0..1) of words of which nobody knows who said them; below the resolver's limit.
DOUBTED = 0.3
#: A statement of so many words right after the tool was interrupted may have lost its first one.
_STATEMENT = 3


@dataclass(frozen=True, slots=True)
class SpokenSentence:
    """A sentence that the tool said.

    Attributes:
        words: Its words as they are spoken, in small letters.
        start_s: When its first sound left the loudspeaker, in seconds on the microphone's clock.
        end_s: When its last sound did; where it was broken off, the moment of that.
        whole_s: How long it would have been (seconds).
    """

    words: tuple[str, ...]
    start_s: float
    end_s: float
    whole_s: float

    @property
    def broken_off(self) -> bool:
        """Whether the examiner interrupted it."""
        return self.end_s < self.start_s + self.whole_s - 0.05

    def times(self) -> tuple[tuple[float, float], ...]:
        """About when each word sounded, by its share of the letters; only words that began."""
        letters = sum(map(len, self.words)) or 1
        spans, at = [], self.start_s
        for word in self.words:
            until = at + self.whole_s * len(word) / letters
            if at < self.end_s:
                spans.append((at, until))
            at = until
        return tuple(spans)


def without_own_voice(utterance: Utterance, spoken: Iterable[SpokenSentence]) -> Utterance | None:
    """Leave the tool's own words out of an utterance.

    Args:
        utterance: What the microphone heard.
        spoken: What the tool said lately.

    Returns:
        The utterance as it was where nothing of it is the tool's; what is left of it; or None
        where all of it was the tool's. Where words of the tool stood between two stretches, a
        full stop stands there now, so that they are never read as one statement.
    """
    words: tuple[Word, ...] = utterance.words or _split(utterance)
    own: set[int] = set()
    doubted: set[int] = set()
    for sentence in spoken:
        inside = _inside(words, sentence)
        if inside and sentence.words:
            mine, unclear = _judge(words, inside, sentence)
            own |= mine
            doubted |= unclear
    if not own and not doubted:
        return utterance
    return _rest(utterance, words, own, doubted - own)


def after_own_words(text: str, spoken: Iterable[SpokenSentence]) -> str:
    """What of the words being spoken comes after the tool's own; for showing, not for reading.

    Args:
        text: The words so far, which have no times yet.
        spoken: What the tool is saying, or has just said.
    """
    words = text.split()
    for sentence in spoken:
        matches = align([word.casefold() for word in words], sentence.words)
        if matches:
            words = words[matches[-1].heard[1] :]
    return " ".join(words)


def _inside(words: Sequence[Word], sentence: SpokenSentence) -> list[int]:
    """The words heard while the sentence sounded; all of them where nothing has a time."""
    start, end = sentence.start_s - _CLOCKS_S, sentence.end_s + AFTER_S
    return [
        i
        for i, word in enumerate(words)
        if word.start_s is None or word.end_s is None
        or (word.end_s > start and word.start_s < end)
    ]  # fmt: skip


def _judge(
    words: Sequence[Word], inside: Sequence[int], sentence: SpokenSentence
) -> tuple[set[int], set[int]]:
    """Which words are the tool's, and of which it cannot be told."""
    said = sentence.words[: len(sentence.times())]
    texts = [words[i].text.casefold() for i in inside]
    matches, share = _matched([words[i] for i in inside], texts, sentence)
    if not matches:
        return set(), set()
    if share < _ENOUGH:
        return set(), set(inside)
    own: set[int] = set()
    unclear: set[int] = set()
    place, reached = 0, matches[0].spoken[0] if matches[0].heard[0] == 0 else 0
    for match in matches:
        between = list(range(place, match.heard[0]))
        garbled = _garbled(texts, between, said[reached : match.spoken[0]])
        (own if garbled else unclear).update(inside[k] for k in between)
        own.update(inside[k] for k in range(*match.heard))
        place, reached = match.heard[1], match.spoken[1]
    after = {*range(inside[-1] + 1, len(words)), *inside[place:]}
    if sentence.broken_off and len(after) >= _STATEMENT:
        unclear.update(after)
    return own, unclear


def _matched(
    heard: Sequence[Word], texts: Sequence[str], sentence: SpokenSentence
) -> tuple[list[Match], float]:
    """What was heard of the sentence, and how much of it that is (0..1, by letters).

    Only what was spoken meanwhile is counted: another utterance has the rest.
    """
    times = sentence.times()
    said = sentence.words[: len(times)]

    def late_s(match: Match) -> float | None:
        at = heard[match.heard[0]].start_s
        return None if at is None else at - times[match.spoken[0]][0]

    def within(limit_s: float, middle_s: float = 0.0) -> list[Match]:
        def may_be(i: int, j: int) -> bool:
            at = heard[i].start_s
            return at is None or abs(at - times[j][0] - middle_s) <= limit_s

        return align(texts, said, may_be)

    matches = within(_APART_S)
    late = [found for match in matches if (found := late_s(match)) is not None]
    if len(late) >= _SEVERAL:
        matches = within(_CLOSE_S, sorted(late)[len(late) // 2])
    elif late:
        matches = within(_CLOSE_S)
    if not matches:
        return [], 0.0
    began, ended = heard[0].start_s, heard[-1].end_s
    meanwhile = {
        j
        for j, (at, _) in enumerate(times)
        if (began is None or at >= began - _CLOSE_S) and (ended is None or at < ended - _CLOSE_S)
    }
    known = {k for match in matches for k in range(*match.spoken)}
    share = sum(len(said[k]) for k in known) / sum(len(said[k]) for k in known | meanwhile)
    return matches, share


def _garbled(texts: Sequence[str], heard: Sequence[int], missing: Sequence[str]) -> bool:
    """Words between those that match are the tool's, misheard, unless they are far too many."""
    letters = sum(len(texts[k]) for k in heard)
    return letters <= 1.5 * sum(map(len, missing)) + (3 if missing else 0)


def _split(utterance: Utterance) -> tuple[Word, ...]:
    """The words of an utterance that came without; its time is shared out by their letters."""
    texts = utterance.text.split()
    letters = sum(map(len, texts)) or 1
    start_s, end_s = utterance.start, utterance.end
    words: list[Word] = []
    at, done = 0, 0
    for text in texts:
        start = utterance.text.index(text, at)
        at = start + len(text)
        begins = ends = None
        if start_s is not None and end_s is not None:
            begins = start_s + (end_s - start_s) * done / letters
            ends = begins + (end_s - start_s) * len(text) / letters
        done += len(text)
        words.append(Word(text, start, at, begins, ends))
    return tuple(words)


def _rest(
    utterance: Utterance, words: Sequence[Word], own: set[int], doubted: set[int]
) -> Utterance | None:
    """The utterance made of the words that are left."""
    kept: list[Word] = []
    text = ""
    last = -1
    for i, word in enumerate(words):
        if i in own:
            continue
        between = utterance.text[words[i - 1].end : word.start] if i else ""
        joint = "" if last < 0 else (between or " ") if last == i - 1 else ". "
        start = len(text) + len(joint)
        text += joint + word.text
        sure = word.confidence
        if i in doubted:
            sure = DOUBTED if sure is None else min(sure, DOUBTED)
        kept.append(replace(word, start=start, end=len(text), confidence=sure))
        last = i
    if not kept:
        return None
    start_s = kept[0].start_s if kept[0].start_s is not None else utterance.start
    end_s = kept[-1].end_s if kept[-1].end_s is not None else utterance.end
    places = dict(zip((i for i in range(len(words)) if i not in own), kept, strict=True))
    return replace(
        utterance, text=text, start=start_s, end=end_s, words=tuple(kept), readings=(),
        disputed=tuple(_disputed(utterance.disputed, words, places)),
    )  # fmt: skip


def _disputed(
    stretches: Iterable[Disputed], words: Sequence[Word], places: dict[int, Word]
) -> Iterator[Disputed]:
    """The stretches of the whole text that lie in what is left of it, counted there.

    What only another listener heard belongs where it was as long as a word beside it is left.
    """
    for stretch in stretches:
        if stretch.start < stretch.end:
            inside = [
                i for i, w in enumerate(words) if w.start < stretch.end and stretch.start < w.end
            ]
            left = [places[i] for i in inside if i in places]
            if left:
                yield replace(stretch, start=left[0].start, end=left[-1].end)
            continue
        before = sum(word.end <= stretch.start for word in words)
        if before - 1 in places:
            at = places[before - 1].end
        elif before in places:
            at = places[before].start
        else:
            continue
        yield replace(stretch, start=at, end=at)
