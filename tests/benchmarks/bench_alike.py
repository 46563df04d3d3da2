"""How alike two listeners' words sound, right and wrong: what the thresholds of judge.py rest on.

Not collected by pytest. Run: python tests/benchmarks/bench_alike.py [--lines N] [VOICE ...]

Whole examinations (dictate/bench/examinations.yaml) and, where the folder ``shared`` is there,
ordinary talk are spoken by the tuning voices and heard by both listeners. A taught word counts as
right where it stands in what was said. Printed for each kind of word: how many right and wrong
ones there are by likeness and by confidence, and how many the rule doubts; for talk, how much is
taken for talk.
"""

from __future__ import annotations

import argparse
import json
import re
import sys
import tempfile
from collections import Counter
from difflib import SequenceMatcher
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parents[1]), str(HERE / "hear")]

from voices import HELD_BACK, VOICES, missing, speak  # noqa: E402

from dictate.audio.source import AudioChunk  # noqa: E402
from dictate.bench.cases import examinations  # noqa: E402
from dictate.grammar import load_grammar  # noqa: E402
from dictate.recognise.align import align, spoken  # noqa: E402
from dictate.recognise.engines import EngineListening  # noqa: E402
from dictate.recognise.judge import Judge  # noqa: E402
from dictate.recognise.model_store import find_model  # noqa: E402
from dictate.recognise.phrases import phrases_of  # noqa: E402
from dictate.recognise.talk import talk_in  # noqa: E402
from dictate.recognise.vosk import VoskEngine, VoskModel  # noqa: E402
from dictate.recognise.weighty import weighty_words  # noqa: E402

TALK = HERE.parents[1].parent / "shared" / "data" / "talk_negative_dev.jsonl"
STEPS = (0.0, 0.2, 0.4, 0.6, 0.8)
SURE = (0.0, 0.4, 0.6, 0.85, 0.95, 0.99)


def main() -> None:
    """Speak, hear, count, print."""
    options = argparse.ArgumentParser()
    options.add_argument("voices", nargs="*", default=[v for v in VOICES if v not in HELD_BACK])
    options.add_argument("--lines", type=int, default=60, help="sentences of each kind")
    given = options.parse_args()
    folder = find_model()
    if folder is None:
        sys.exit("The speech model is not here yet. Run: dictate setup")
    model, grammar = VoskModel(folder), load_grammar()
    phrases = phrases_of(grammar, model.knows)
    judge = Judge(grammar, phrases.back)
    weighty = weighty_words(grammar)
    statements = [line for lines in examinations() for line in lines][: given.lines]
    counts: Counter[tuple[str, bool, float, float]] = Counter()
    doubted: Counter[tuple[str, bool, bool]] = Counter()
    taken: Counter[tuple[str, bool]] = Counter()
    for name, lines in (("statements", statements), ("talk", _talk(given.lines))):
        for voice in given.voices:
            if missing(voice):
                print(f"left out: {voice} ({missing(voice)})")
                continue
            for line in lines:
                mine, theirs, right = _hear(line, voice, model, phrases.phrases, judge)
                lined = align(mine, theirs)
                for talk in talk_in(mine, theirs, lined):
                    taken[name, talk] += 1
                if name == "talk":
                    continue
                kinds = judge.kinds(mine, theirs, lined)
                for i, word in enumerate(mine):
                    if word.text in weighty.idle:
                        continue
                    kind = "critical" if set(word.heard) & weighty.critical else "other"
                    like = max(step for step in STEPS if lined.matches[i].likeness >= step)
                    sure = max(step for step in SURE if word.confidence >= step)
                    counts[kind, right[i], like, sure] += 1
                    doubted[kind, right[i], kinds[i] in ("doubted", "other")] += 1
    _print(counts, doubted, taken, given.voices)


def _talk(most: int) -> list[str]:
    if not TALK.exists():
        print(f"left out: talk ({TALK} is not here)")
        return []
    turns = [
        sentence
        for line in TALK.read_text("utf-8").splitlines()
        for turn in json.loads(line)["turns"]
        for sentence in re.split(r"(?<=[.?!])\s+", turn["text"])
        if 4 <= len(sentence.split()) <= 20 and sentence.isascii()
    ]
    return turns[:: max(1, len(turns) // most)][:most] if most else []


def _hear(line, voice, model, phrases, judge):  # type: ignore[no-untyped-def]
    """The words of both listeners, and which of the taught one's were said."""
    kept = Path(tempfile.gettempdir()) / "dictate-bench-voices"
    kept.mkdir(exist_ok=True)
    samples = speak(voice, 1.0, line, kept).tobytes()
    both: list[tuple[tuple, tuple]] = []
    engines = [VoskEngine(model, phrases), VoskEngine(model)]
    listening = EngineListening(engines, lambda _, stretch: both.append(stretch))  # type: ignore[arg-type,return-value]
    listening.feed(AudioChunk(bytes(12_800) + samples + bytes(25_600), 0.0))
    listening.finish()
    mine = [word for taught, _ in both for word in judge.real(taught)]
    theirs = [spoken([word]) for _, other in both for word in other]
    said = re.findall(r"[a-z']+", line.lower().replace("-", " "))
    heard = [word.text.lower() for word in mine]
    blocks = SequenceMatcher(None, said, heard, autojunk=False).get_matching_blocks()
    found = {at for block in blocks for at in range(block.b, block.b + block.size)}
    return mine, theirs, [i in found for i in range(len(mine))]


def _print(counts, doubted, taken, voices) -> None:  # type: ignore[no-untyped-def]
    print(f"voices {', '.join(voices)} (never used here: {', '.join(HELD_BACK)})")
    for kind in ("critical", "other"):
        print(f"\n{kind} words, right/wrong; likeness from (down), confidence from (across)")
        print("      " + "".join(f"{sure:>12}" for sure in SURE))
        for like in STEPS:
            cells = (f"{counts[kind, True, like, s]}/{counts[kind, False, like, s]}" for s in SURE)
            print(f"{like:>6}" + "".join(f"{cell:>12}" for cell in cells))
        for right in (True, False):
            whole = doubted[kind, right, True] + doubted[kind, right, False]
            share = doubted[kind, right, True] / whole if whole else 0.0
            print(f"{'right' if right else 'wrong'}: {whole}, of these doubted {share:.1%}")
    print("\ntaken for talk, of the taught listener's words")
    for name in ("statements", "talk"):
        whole = taken[name, True] + taken[name, False]
        print(f"{name}: {taken[name, True]} of {whole}")


if __name__ == "__main__":
    main()
