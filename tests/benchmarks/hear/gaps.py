"""Which gap in likelihood settles a difference: right 995 times in 1,000, if any does.

For the differences between the adapted and the taught listener that the open one does not settle,
by kind: how often the likelier words are right, and beyond which lead of either that is often
enough. ``--write`` puts the gaps into the manifest of the adapter that is used. Only voices to tune
with: what is fitted with a voice cannot be tested with it.
PYTHONPATH=. python tests/benchmarks/hear/gaps.py
"""

from __future__ import annotations

import argparse
from collections import defaultdict
from dataclasses import replace
from difflib import SequenceMatcher
from pathlib import Path

from cases import own_cases
from listeners import _ear, _pair, _weighing, ear_hears, hear
from room import set_out, with_babble
from voices import HELD_BACK, SPEEDS, VOICES, missing, speak

from dictate.bench.score import plain_words
from dictate.grammar import load_grammar
from dictate.recognise.adapter import read_manifest, write_manifest
from dictate.recognise.ear_store import adapter_folder
from dictate.recognise.joining import HeardWord
from dictate.recognise.page import TAUGHT
from dictate.recognise.pair import OPEN
from dictate.recognise.weighing import bare, confirms

#: How often the likelier reading must be right.
RIGHT = 0.995
#: From fewer differences beyond it a gap is not taken.
LEAST = 40


def main() -> None:
    """Print the table of one run."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    tuning = [voice for voice in VOICES if voice not in HELD_BACK]
    parser.add_argument("--voices", nargs="+", default=tuning, choices=tuning)
    parser.add_argument("--rooms", nargs="+", type=float, default=[0.0, 15.0], help="dB; 0: clean")
    parser.add_argument("--share", type=float, default=0.3)
    parser.add_argument("--deal", type=int, default=4)
    parser.add_argument("--kept", type=Path, default=Path.home() / ".cache" / "dictate-bench")
    parser.add_argument("--write", action="store_true", help="into the adapter's manifest")
    given = parser.parse_args()
    found: dict[str, list[tuple[float, bool]]] = defaultdict(list)
    settled: dict[str, list[bool]] = defaultdict(list)
    for turn, voice in enumerate(given.voices):
        if missing(voice):
            print(f"{voice}: {missing(voice)}")
            continue
        for room in given.rooms:
            for kind, open_with, gap, right in _differences(given, voice, turn, room):
                if open_with:
                    settled[open_with].append(right == (open_with == "adapted"))
                else:
                    found[kind].append((gap, right))
    for whose, of_these in sorted(settled.items()):
        print(f"the open one with the {whose} one: right in {sum(of_these)} of {len(of_these)}")
    print("kind         all  adapted right   lead of adapted, beyond   of taught, beyond")
    gaps = {}
    for kind, rows in sorted(found.items()):
        adapted = _fitted([(gap, right) for gap, right in rows if gap > 0])
        taught = _fitted([(-gap, not right) for gap, right in rows if gap < 0])
        gaps[kind] = (adapted[0], taught[0])
        first = sum(right for _, right in rows)
        print(
            f"{kind:10} {len(rows):5} {first:14} {adapted[0] or '-':>17} {adapted[1]:7} "
            f"{taught[0] or '-':>11} {taught[1]:7}"
        )
    if given.write:
        write_manifest(replace(read_manifest(adapter_folder()), gaps=gaps), adapter_folder())


def _fitted(rows: list[tuple[float, bool]]) -> tuple[float | None, int]:
    """The smallest lead beyond which these words are right often enough, and how many are beyond;
    None where too few are to tell."""
    for lead in [n / 2 for n in range(80)]:
        beyond = [right for one, right in rows if one >= lead]
        if len(beyond) < LEAST:
            break
        if beyond.count(False) <= (1 - RIGHT) * len(beyond):
            return lead, len(beyond)
    return None, 0


def _differences(given, voice, turn, room):  # type: ignore[no-untyped-def]
    """Kind of each difference, whom alone the open one confirms, by how much the adapted one finds
    its own likelier, and whether those are what was said."""
    grammar = load_grammar()
    cases = own_cases(grammar, given.share)[turn % given.deal :: given.deal]
    lines = [
        (n, i, speak(voice, SPEEDS[n % len(SPEEDS)], line, given.kept))
        for n, case in enumerate(cases)
        for i, line in enumerate(case.lines)
    ]
    sound, places = set_out(lines, (0.9, 1.6), 7)
    if room:
        sound = with_babble(
            sound, [said for k, (_, _, said) in enumerate(lines) if k % 7 == 3], room, 8
        )
    weighing, ear, pair = _weighing(grammar), _ear(given.kept), _pair(grammar)
    for utterance in hear(grammar, ["pair"], sound, given.kept)["pair"].utterances:
        middle = ((utterance.start or 0.0) + (utterance.end or 0.0)) / 2
        place = min(places, key=lambda p: max(p.start_s - middle, middle - p.end_s))
        truth = plain_words(cases[place.case].lines[place.line])
        heard, _ = ear_hears(ear, sound, utterance)
        hearing = next((h for h in utterance.hearings if h.listener == TAUGHT), None)
        if not heard or hearing is None:
            continue
        words = [
            HeardWord(w.text, w.start_s or 0.0, w.end_s or 0.0, w.confidence) for w in hearing.words
        ]
        taught = [w for s in pair.judge.real(words) for w in s.text.lower().split()]
        mine = [bare(word.text) for word in heard]
        heard_open = next((h.text for h in utterance.hearings if h.listener == OPEN), "").split()
        marked = [word.text for word in heard]
        for one in weighing.differences(mine, taught):
            said = taught[one.begin : one.end]
            other = [*mine[: one.first], *said, *mine[one.last :]]
            here = _errors(truth, plain_words(" ".join(mine)))
            there = _errors(truth, plain_words(" ".join(other)))
            if here == there:
                continue
            texts = [
                " ".join(marked),
                " ".join([*marked[: one.first], *said, *marked[one.last :]]),
            ]
            likely = ear.weigh(texts)
            gap = likely[0] - likely[1]
            with_mine = confirms(mine, one.first, one.last, heard_open)
            with_taught = confirms(taught, one.begin, one.end, heard_open)
            with_one = with_mine != with_taught
            yield (
                weighing.kind(one, mine, taught),
                ("adapted" if with_mine else "taught") if with_one else "",
                gap,
                here < there,
            )


def _errors(truth: list[str], words: list[str]) -> int:
    """Words that do not match, of both."""
    matcher = SequenceMatcher(None, truth, words, autojunk=False)
    same = sum(block.size for block in matcher.get_matching_blocks())
    return len(truth) + len(words) - 2 * same


if __name__ == "__main__":
    main()
