"""Where two listeners heard apart, and what settles it: a third one, or a gap in likelihood.

Each kind of difference has gaps of its own, fitted with voices to tune with so that beyond them the
likelier words were right 995 times in 1,000 of that kind; a kind without one is always asked about.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from math import inf

from dictate.grammar.load import Grammar
from dictate.recognise.joining import HeardWord
from dictate.recognise.weighty import weighty_words

_MARKS = ".,;:?!"
#: Tells how likely texts are for the sound that was heard last (logarithms).
Weigh = Callable[[Sequence[str]], list[float]]


@dataclass(frozen=True, slots=True)
class Difference:
    """Words of the adapted listener, ``first`` to ``last``, and of the taught one, ``begin`` to
    ``end`` (all exclusive at the end)."""

    first: int
    last: int
    begin: int
    end: int


@dataclass(frozen=True, slots=True)
class Gap:
    """How much likelier words must be than the other's to stand without a question (nats):
    those of the adapted listener, and those of the taught one. Less than 0: they stand though the
    other's are likelier by so much."""

    adapted: float
    taught: float


#: Differences in which a word less or more turns no finding round: names and other words. In the
#: others (side, grade, denial, correction) the adapted one never overrules alone.
MILD = frozenset({"site", "other"})
#: Where the open listener heard the very words of one of them, and not the other's. The adapted one
#: nearly always finds its own words likelier, right or wrong. Of 444 differences in four voices to
#: tune with, half of them in babble, its words were right in 72 of 75 with the open one and a lead
#: of 6; the taught one's in 22 of 26 with the open one and a lead under 3.
WITH_ADAPTED, WITH_TAUGHT = Gap(6.0, 6.0), Gap(inf, -3.0)
#: Where it confirms neither or both, and nothing was fitted: the taught one's words were right in
#: 28 of 29 that the adapted one itself found likelier.
UNFITTED = Gap(inf, 0.0)
#: A lead with which the adapted one overrules alone where the difference is mild: its words were
#: right in 95 of 105 then, and what was wrong recorded nothing in 909 findings that nobody said
#: (DEVELOPERS.md).
MILD_LEAD = 10.0


class Weighing:
    """Compares what the two heard, by the words of one grammar."""

    def __init__(self, grammar: Grammar, gaps: Mapping[str, Gap] | None = None) -> None:
        """Collect the words that matter.

        Args:
            grammar: All that can be said.
            gaps: Those that were fitted, by kind of difference (``kind``).
        """
        self._gaps = gaps or {}
        self._kinds = _kinds(grammar)
        weighty = weighty_words(grammar)
        numbers = grammar.numbers.numbers
        self._same = {word: n for n, words in numbers.items() for word in words}
        self._same |= grammar.misheard.numbers()
        self._trade = weighty.trade
        mean = {form.lower() for form in _alone(grammar)} | weighty.critical | weighty.bridges
        self._idle = {*map(str.lower, (*grammar.speech.glue, *grammar.speech.hesitation))} - mean

    @property
    def trade(self) -> Collection[str]:
        """Words of the trade."""
        return self._trade

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

    def kind(self, one: Difference, mine: Sequence[str], theirs: Sequence[str]) -> str:
        """What kind of difference it is: the gravest of the words that are not in both.

        Args:
            one: The difference.
            mine: Words of the adapted listener.
            theirs: Words of the taught one.
        """
        first, other = set(mine[one.first : one.last]), set(theirs[one.begin : one.end])
        apart = first ^ other or first
        return next((kind for kind, words in self._kinds.items() if apart & words), "other")

    def settle(
        self,
        heard: Sequence[HeardWord],
        taught: Sequence[str],
        open_words: Sequence[str],
        weigh: Weigh,
    ) -> tuple[list[HeardWord], list[tuple[int, int, str, float]]]:
        """The words that stand, and the stretches of them that stay disputed.

        Args:
            heard: Words of the adapted listener, with their marks.
            taught: Words of the taught one.
            open_words: Words of the open one.
            weigh: Tells how likely texts are.

        Returns:
            The words, and for each dispute the first and last word (exclusive), the other's
            words for them, and how much likelier the words are than those (nats).

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
        disputes: list[tuple[int, int, str, float]] = []
        at = 0
        for one, other in zip(found, likely[1:], strict=True):
            words += heard[at : one.first]
            at = one.last
            said = taught[one.begin : one.end]
            ahead = likely[0] - other
            own = list(heard[one.first : one.last])
            stands = self._stands(one, plain, taught, open_words, ahead)
            if stands == "taught":
                own = _timed(one, heard, said)
            elif not stands or self._alike(plain, one, said):
                disputes.append((len(words), len(words) + len(own), " ".join(said), ahead))
            words += own
        return words + list(heard[at:]), disputes

    def _stands(
        self,
        one: Difference,
        plain: Sequence[str],
        taught: Sequence[str],
        open_words: Sequence[str],
        ahead: float,
    ) -> str:
        """Whose words stand: "adapted", "taught", or "" where nobody can tell."""
        with_mine = confirms(plain, one.first, one.last, open_words)
        with_taught = confirms(taught, one.begin, one.end, open_words)
        kind = self.kind(one, plain, taught)
        gap = self._gaps.get(kind, UNFITTED)
        if with_mine != with_taught:
            gap = WITH_ADAPTED if with_mine else WITH_TAUGHT
        if kind in MILD:
            gap = replace(gap, adapted=min(gap.adapted, MILD_LEAD))
        if ahead <= -gap.taught:
            return "taught"
        return "adapted" if ahead >= gap.adapted else ""

    def _alike(self, plain: Sequence[str], one: Difference, said: Sequence[str]) -> bool:
        """Tell whether they are one number by ear ("for", four): then nobody can hear which."""
        mine = [self._same.get(word, word) for word in plain[one.first : one.last]]
        return mine == [self._same.get(word, word) for word in said]


def _kinds(grammar: Grammar) -> dict[str, frozenset[str]]:
    """Words of each kind of difference, the gravest kind first."""
    speech, sides, weighty = grammar.speech, grammar.sides, weighty_words(grammar)
    forms: dict[str, Iterable[str]] = {
        "denial": (
            *speech.negation.neither, *speech.negation.before, *speech.negation.after,
            *speech.not_done.not_tested, *speech.not_done.unable,
        ),
        "correction": (
            *speech.correction.replace, *speech.correction.take_back, *speech.correction.swap,
            *speech.exception,
        ),
        "side": (*sides.right, *sides.left, *sides.both, *sides.other),
        "grade": (*weighty.numbers, *grammar.misheard.numbers()),
        "site": (
            form
            for name in grammar.tests
            for site in grammar.sites_of(name).values()
            for form in (*site.spoken, *site.plural)
        ),
    }  # fmt: skip
    found: dict[str, frozenset[str]] = {}
    for kind, ways in forms.items():
        # a word of several ("left out") says by itself something else
        several = kind == "site"
        words = {w for way in ways if several or " " not in way for w in way.lower().split()}
        found[kind] = frozenset(words if kind == "grade" else words & weighty.trade)
    return found


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


def confirms(words: Sequence[str], first: int, last: int, other: Sequence[str]) -> bool:
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
