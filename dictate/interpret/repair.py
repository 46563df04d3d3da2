"""Words that a recogniser mangled, brought back by sound and spelling.

Only a stretch that holds a word nobody knows is tried. Where two clinically different words come
out close to each other, both are kept and the tool asks: nothing is swapped silently.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import jellyfish
from rapidfuzz import fuzz, process

from dictate.interpret.lexicon import Lexicon, Reading, Term
from dictate.interpret.tokens import Token

#: Shortest stretch (letters) that is tried, longest stretch (tokens), and the scores of 0..100
#: that a candidate needs and must lead by. Chosen on the worked cases; see tests/interpret.
SHORTEST, LONGEST, ENOUGH, LEAD = 6, 4, 84.0, 6.0


#: Shorter stretches (letters) need a higher score: many ordinary words lie near them.
LONG, ENOUGH_SHORT = 10, 90.0
#: Unknown words tried in one utterance; a longer row of them is no mangled statement.
MOST_TRIED = 40
#: Stretches whose answer is remembered, so that ordinary talk is not searched twice.
MOST_REMEMBERED = 20_000


@dataclass(frozen=True, slots=True)
class Repair:
    """Tokens ``start``..``end`` read as ``form``; ``rivals`` are forms too close to choose from."""

    start: int
    end: int
    form: str
    rivals: tuple[str, ...] = ()


def announces(term: Term) -> bool:
    """Several words that announce a correction: "I mean extension" is no mangled "in extension"."""
    kinds = {reading.kind for reading in term.readings}
    return term.end - term.start > 1 and bool(kinds & {"replace", "take_back"})


class Repairer:
    """Finds the nearest known word for an unknown stretch."""

    def __init__(self, lexicon: Lexicon, numbers: frozenset[str]) -> None:
        """Index the names and values of the grammar by spelling and by sound.

        Args:
            lexicon: The known forms.
            numbers: Number words and signs; they are never part of a mangled word.
        """
        self._numbers = numbers
        self._tried: dict[str, tuple[float, str, tuple[str, ...]] | None] = {}
        self._readings = lexicon.readings
        wanted = {"test", "site", "sign", "value"}
        forms = [
            key
            for key, readings in lexicon.readings.items()
            if any(r.kind in wanted for r in readings) and len("".join(key)) >= SHORTEST
        ]
        self._forms = {"".join(key): key for key in forms}
        self._spelled = list(self._forms)
        self._sounds = {letters: jellyfish.metaphone(letters) for letters in self._spelled}
        #: The same by their first sound, and then by their length.
        self._by_sound: dict[str, dict[int, list[str]]] = {}
        for letters, sound in self._sounds.items():
            self._by_sound.setdefault(sound[:1], {}).setdefault(len(letters), []).append(letters)

    def find(
        self, tokens: Sequence[Token], known: Sequence[bool], fixed: Sequence[bool]
    ) -> list[Repair]:
        """Repairs for the unknown stretches, none overlapping.

        Args:
            tokens: The utterance.
            known: By token: the lexicon knows it.
            fixed: By token: it means something of the examination as it stands, or announces a
                correction, so that only letters that match exactly may take it into another word.
        """
        repairs: list[Repair] = []
        left = MOST_TRIED
        used = [False] * len(tokens)
        for i, sure in enumerate(known):
            if sure or used[i] or not self._mendable(tokens[i]):
                continue
            left -= 1
            if left < 0:
                break
            best = self._around(tokens, known, fixed, used, i)
            if best is not None:
                repairs.append(best)
                used[best.start : best.end] = [True] * (best.end - best.start)
        return repairs

    def _around(
        self,
        tokens: Sequence[Token],
        known: Sequence[bool],
        fixed: Sequence[bool],
        used: Sequence[bool],
        i: int,
    ) -> Repair | None:
        found: list[tuple[float, Repair]] = []
        for start in range(max(0, i - LONGEST + 1), i + 1):
            for end in range(i + 1, min(len(tokens), start + LONGEST) + 1):
                stretch = tokens[start:end]
                if any(used[start:end]) or not all(self._mendable(t) for t in stretch):
                    continue
                hit = self.nearest("".join(t.norm for t in stretch))
                if hit is not None:
                    score, form, rivals = hit
                    if score < 100.0 and any(fixed[start:end]):
                        continue
                    if (
                        any(known[start:end])
                        and tuple(t.norm for t in stretch[:1]) in self._readings
                    ):
                        score -= 4.0 * (score < 100.0)
                    found.append((score + (end - start) * 0.01, Repair(start, end, form, rivals)))
        return max(found, key=lambda pair: pair[0])[1] if found else None

    def _mendable(self, token: Token) -> bool:
        return token.norm.isalpha() and token.norm not in self._numbers

    def nearest(self, letters: str) -> tuple[float, str, tuple[str, ...]] | None:
        """The nearest form for letters run together: score, form, rivals; None if none is near."""
        if len(letters) < SHORTEST:
            return None
        if letters not in self._tried:
            if len(self._tried) > MOST_REMEMBERED:
                self._tried.clear()
            self._tried[letters] = self._nearest(letters)
        return self._tried[letters]

    def _nearest(self, letters: str) -> tuple[float, str, tuple[str, ...]] | None:
        if letters in self._forms:
            return 100.0, " ".join(self._forms[letters]), ()
        sound = jellyfish.metaphone(letters)
        enough = ENOUGH if len(letters) >= LONG else ENOUGH_SHORT
        if not self._may_be(letters, sound, enough):
            return None
        near = process.extract(letters, self._spelled, scorer=fuzz.ratio, limit=6, score_cutoff=62)
        scored = sorted(
            (
                (self._alike_both(score, sound, form), form)
                for form, score, _ in near
                if sound[:1] == self._sounds[form][:1]
            ),
            reverse=True,
        )
        if not scored or scored[0][0] < enough:
            return None
        best_score, best = scored[0]
        rivals = tuple(
            " ".join(self._forms[form])
            for score, form in scored[1:]
            if best_score - score < LEAD and not self._same(best, form)
        )
        return best_score, " ".join(self._forms[best]), rivals

    def _may_be(self, letters: str, sound: str, enough: float) -> bool:
        """Whether any form of the same first sound is near enough.

        A tenth of the work of looking through all forms for the nearest, which few stretches need.
        """
        least = 2 * enough - 100  # the spelling of what sounds just the same
        size, share = len(letters), least / (200 - least)
        return any(
            self._alike_both(score, sound, form) >= enough
            for length, forms in self._by_sound.get(sound[:1], {}).items()
            if size * share <= length <= size / share
            for form, score, _ in process.extract_iter(
                letters, forms, scorer=fuzz.ratio, score_cutoff=least
            )
        )

    def _alike_both(self, spelling: float, sound: str, form: str) -> float:
        """How alike a form is in spelling and sound together, 0 to 100."""
        return 0.5 * spelling + 0.5 * fuzz.ratio(sound, self._sounds[form])

    def readings(self, form: str) -> tuple[Reading, ...]:
        """What a form means."""
        return tuple(self._readings[tuple(form.split(" "))])

    def _same(self, a: str, b: str) -> bool:
        """Two forms mean the same thing, so choosing either is no swap."""

        def ids(letters: str) -> set[tuple[str, str, str]]:
            readings = self._readings[self._forms[letters]]
            return {(r.kind, r.id, r.test) for r in readings}

        return bool(ids(a) & ids(b))
