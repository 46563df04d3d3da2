"""The big table: what each listener, and the agreeing pair, makes of spoken examinations.

Run it in a checkout, with the speech model set up::

    python tests/benchmarks/hear/run.py --share 0.3 --deal-babble 5 --kept FOLDER

It prints one table: narrations of our own by each voice (three speeds, each case at one of them
by lot), clean and with babble; ordinary talk and human speech where the folder ``shared`` is
there. Nothing is asserted. Voices, speeds and seed are printed, so that it can be run again.
"""

from __future__ import annotations

import argparse
import os
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parents[2]), str(HERE)]

import people  # noqa: E402
from cases import own_cases, talk  # noqa: E402
from listeners import NAMES, hear  # noqa: E402
from room import Stretch, set_out, with_babble  # noqa: E402
from voices import HELD_BACK, SPEEDS, VOICES, missing, speak  # noqa: E402

from dictate.bench.cases import Case  # noqa: E402
from dictate.bench.score import HEAD, HEAD2, Score  # noqa: E402
from dictate.grammar.load import Grammar, load_grammar  # noqa: E402
from dictate.model import Record, Utterance  # noqa: E402
from dictate.session import Session  # noqa: E402

ROOMS = {"clean": None, "20 dB": 20.0, "15 dB": 15.0, "10 dB": 10.0}
#: Silence between the sentences (seconds): longer than what joins two results into one.
PAUSE_S = (0.9, 1.4)
SHARED = HERE.parents[2].parent / "shared" / "data"


def main() -> None:
    """Speak, hear, judge, print."""
    given = _arguments()
    grammar = load_grammar()
    voices = [v for v in given.voices if not missing(v)]
    for voice in set(given.voices) - set(voices):
        print(f"left out: {voice} ({missing(voice)})")
    cases = own_cases(grammar, given.share)
    findings = sum(len(case.find) for case in cases)
    print(
        f"{len(cases)} narrations, {findings} findings, 1 in {given.deal} by each voice, "
        f"1 in {given.deal_babble} in babble, 1 in {given.deal_third} by the third "
        f"listener (pair-3rd: the pair on the same); "
        f"voices {', '.join(voices)} (held back from tuning: {', '.join(HELD_BACK)}), "
        f"speeds {SPEEDS}, seed {given.seed}"
    )
    jobs = [(voice, room, given) for room in given.rooms for voice in voices]
    totals: dict[tuple[str, str, str], Score] = {}
    head = f"{'listener':9} {'room':6} {'voice':9}"
    print(f"{head}{HEAD}   time/dur  MB\n{' ' * len(head)}{HEAD2}", flush=True)
    with ProcessPoolExecutor(given.processes) as pool:
        for (voice, room, _), scores in zip(jobs, pool.map(_narrations, jobs), strict=True):
            for name, (score, ratio, memory) in scores.items():
                print(
                    f"{name:9} {room:6} {voice:9}{score.line()} {ratio:8.3f} {memory:5.0f}",
                    flush=True,
                )
                for group in _groups(voice):
                    totals.setdefault((name, room, group), Score()).plus(score)
        for (name, room, group), score in sorted(totals.items()):
            print(f"{name:9} {room:6} {group:9}{score.line()}")
        if given.examples:
            with given.examples.open("w") as file:
                for (name, room, group), score in sorted(totals.items()):
                    if group == "all":
                        file.writelines(f"{name} {room} {text}\n" for text in score.examples)
        if SHARED.is_dir() and given.talk_words:
            _print_talk(pool, given, voices)
    if SHARED.is_dir() and given.people:
        for line in people.table(grammar, SHARED / "human_speech", given.listeners, given.kept):
            print(line)


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--voices", nargs="+", default=list(VOICES), choices=VOICES)
    parser.add_argument("--rooms", nargs="+", default=list(ROOMS), choices=ROOMS)
    parser.add_argument(
        "--listeners",
        nargs="+",
        default=["open", "taught", "pair"],
        choices=NAMES,
        help="three needs the extra 'third'",
    )
    parser.add_argument("--share", type=float, default=1.0, help="part of the statements, 0..1")
    parser.add_argument(
        "--deal", type=int, default=1, help="each voice speaks one of so many narrations, in turn"
    )
    parser.add_argument("--deal-babble", type=int, help="the same where there is babble")
    parser.add_argument("--deal-third", type=int, help="the same for the third listener")
    parser.add_argument("--talk-words", type=int, default=6000, help="words of ordinary talk")
    parser.add_argument("--people", action=argparse.BooleanOptionalAction, default=True)
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--processes", type=int, default=os.cpu_count() or 1)
    parser.add_argument("--kept", type=Path, default=Path.home() / ".cache" / "dictate-bench")
    parser.add_argument("--examples", type=Path, help="file for what went wrong, case by case")
    given = parser.parse_args()
    given.deal_babble = given.deal_babble or given.deal
    given.deal_third = given.deal_third or given.deal
    if "three" in given.listeners and "pair-3rd" not in given.listeners:
        given.listeners.append("pair-3rd")
    return given


def _narrations(
    job: tuple[str, str, argparse.Namespace],
) -> dict[str, tuple[Score, float, float]]:
    voice, room, given = job
    grammar = load_grammar()
    turn = VOICES.index(voice)
    snr_db = ROOMS[room]
    deal = given.deal if snr_db is None else given.deal_babble
    cases = own_cases(grammar, given.share)[turn % deal :: deal]
    lines = []
    for number, case in enumerate(cases):
        speed = SPEEDS[(number + turn) % len(SPEEDS)]
        for i, line in enumerate(case.lines):
            lines.append((number, i, speak(voice, speed, line, given.kept)))
    sound, places = set_out(lines, PAUSE_S, given.seed)
    if snr_db is not None:
        others = [said for k, (_, _, said) in enumerate(lines) if k % 7 == 3]
        sound = with_babble(sound, others, snr_db, given.seed + 1)
    found = {}
    every = max(1, given.deal_third // deal)

    def for_third(utterance: Utterance) -> bool:
        return _case_of(places, utterance) % every == 0

    for name, heard in hear(grammar, given.listeners, sound, given.kept, for_third).items():
        chosen = every if "3rd" in name or name == "three" else 1
        score = _judge(grammar, cases, places, heard.utterances, chosen)
        found[name] = (score, heard.ratio, heard.memory_mb)
    return found


def _judge(
    grammar: Grammar,
    cases: list[Case],
    places: list[Stretch],
    heard: list[Utterance],
    every: int = 1,
) -> Score:
    """Give each utterance to its case, and score one in ``every`` case."""
    of_case: dict[int, list[Utterance]] = {}
    for utterance in heard:
        of_case.setdefault(_case_of(places, utterance), []).append(utterance)
    score = Score()
    for number, case in list(enumerate(cases))[::every]:
        score.add(case, _record(grammar, of_case.get(number, [])))
    return score


def _case_of(places: list[Stretch], utterance: Utterance) -> int:
    """The case in whose sentences it lies."""
    middle = ((utterance.start or 0.0) + (utterance.end or 0.0)) / 2
    return min(places, key=lambda p: max(p.start_s - middle, middle - p.end_s)).case


def _record(grammar: Grammar, heard: list[Utterance]) -> Record:
    session = Session(grammar)
    for utterance in heard:
        session.take(utterance)
    return session.record()


def _groups(voice: str) -> list[str]:
    return ["all", "held back" if voice in HELD_BACK else "tuned on"]


def _print_talk(pool: ProcessPoolExecutor, given: argparse.Namespace, voices: list[str]) -> None:
    print("ordinary talk        words  word-wrong  findings  questions  (per 1,000 words)")
    jobs = [(voice, k, len(voices), given) for k, voice in enumerate(voices)]
    parts = list(pool.map(_talk, jobs))
    for name in given.listeners:
        of_name = [part[name] for part in parts]
        words, errors, findings, questions = (sum(p[i] for p in of_name) for i in range(4))
        print(
            f"{name:9} {words:15} {errors / max(1, words):10.1%} {findings:9} {questions:10} "
            f"({1000 * questions / max(1, words):.1f})",
            flush=True,
        )
        if given.examples:
            with given.examples.open("a") as file:
                file.writelines(f"{name} talk {t}\n" for part in of_name for t in part[4])


def _talk(
    job: tuple[str, int, int, argparse.Namespace],
) -> dict[str, tuple[int, int, int, int, list[str]]]:
    voice, part, of, given = job
    grammar = load_grammar()
    turns = talk(SHARED / "talk_negative_dev.jsonl", given.talk_words, given.seed)[part::of]
    lines = [(n, 0, speak(voice, 1.0, turn, given.kept)) for n, turn in enumerate(turns)]
    sound, _ = set_out(lines, PAUSE_S, given.seed)
    found = {}
    for name, heard in hear(grammar, given.listeners, sound, given.kept).items():
        record = _record(grammar, heard.utterances)
        score = Score()
        score.add_words(turns, [u.text for u in heard.utterances])
        texts = {u.id: u.text for u in record.utterances}
        wrong = [
            f"finding {f.test} {f.site} {f.side} {f.value}: {[texts[p.utterance] for p in f.said]}"
            for f in record.findings
        ] + [f"asked {q.kind} {q.prompt}" for q in record.questions]
        counts = (score.words, score.word_errors, len(record.findings), len(record.questions))
        found[name] = (*counts, wrong)
    return found


if __name__ == "__main__":
    main()
