"""Real doctor-patient talk through the reader: what it makes of it, and what it must not.

    python tests/real/talk.py [--list]

Reads ../shared/data (the dialogues are not part of the project). Every turn is one utterance and
no speaker is known. Prints findings out of talk (history, instructions, questions, plans, replies:
all of them wrong), how many of the examiner's own statements were recorded, asked about, kept as
remarks or contradicted, and the questions asked in 1,000 words.
"""

from __future__ import annotations

import argparse
import json
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from itertools import chain
from multiprocessing import get_context
from pathlib import Path

import yaml

from dictate.model import Finding, Question, Utterance
from dictate.session import Session

DATA = Path(__file__).resolve().parents[3] / "shared" / "data"
NEGATIVE, EXAM = DATA / "talk_negative_dev.jsonl", DATA / "talk_exam_dev.jsonl"
GOLD = Path(__file__).with_name("talk_gold.yaml")


@dataclass(frozen=True)
class Turn:
    """One turn of a dialogue and what the record gained by it."""

    dialogue: str
    number: int
    words: int
    findings: tuple[Finding, ...]
    questions: tuple[Question, ...]

    def at(self, finding: Finding) -> list[tuple[int, int]]:
        """Where in this turn the finding was said."""
        return [(p.start, p.end) for p in finding.said if p.utterance == str(self.number)]


@dataclass
class Score:
    """The examiner's statements against the gold, and findings that nobody stated."""

    right: int = 0
    asked: int = 0
    remarks: list[str] = field(default_factory=list)
    contradicted: list[str] = field(default_factory=list)
    outside: list[str] = field(default_factory=list)
    unjudged: list[str] = field(default_factory=list)


def turns(path: Path) -> list[Turn]:
    """Every turn of every dialogue of a file, heard in order; the dialogues on all processors.

    Args:
        path: One dialogue a line, as ../shared/data/README.md describes it.
    """
    with ProcessPoolExecutor(mp_context=get_context("spawn")) as pool:
        return list(chain.from_iterable(pool.map(_heard, path.read_text("utf-8").splitlines())))


def _heard(line: str) -> list[Turn]:
    dialogue, session = json.loads(line), Session()
    heard = []
    for number, turn in enumerate(dialogue["turns"]):
        text = turn["text"].replace("\n", " ")
        change = session.hear(Utterance(str(number), text))
        heard.append(Turn(dialogue["id"], number, len(text.split()), change.added, change.asked))
    return heard


def row(finding: Finding) -> str:
    """A finding as the gold writes it."""
    return " ".join((finding.test, finding.site or "-", finding.side or "-", finding.value))


def score(heard: list[Turn], marked: dict[str, list[int]], gold: dict[str, list[list]]) -> Score:
    """The turns against the gold.

    Args:
        heard: The turns of the dialogues with an examination.
        marked: By dialogue, the turns in which the examiner states findings.
        gold: By dialogue, statements: turn, start, end, findings.
    """
    out = Score()
    for turn in heard:
        stated = [tuple(r[1:]) for r in gold.get(turn.dialogue, []) if r[0] == turn.number]
        said = {row(f): turn.at(f) for f in turn.findings}
        for start, end, *wanted in stated:
            _statement(out, turn, said, (start, end), wanted)
        for words, places in said.items():
            name = f"{turn.dialogue} {turn.number}: {words}"
            if turn.number not in marked.get(turn.dialogue, []):
                out.outside.append(name)
            elif not any(_meets(places, s[:2]) for s in stated):
                out.unjudged.append(name)
    return out


def _statement(
    out: Score,
    turn: Turn,
    said: dict[str, list[tuple[int, int]]],
    place: tuple[int, int],
    wanted: list[str],
) -> None:
    here = [words for words, places in said.items() if _meets(places, place)]
    asked = any(
        _meets([(p.start, p.end) for p in q.about if p.utterance == str(turn.number)], place)
        for q in turn.questions
    )
    name = f"{turn.dialogue} {turn.number} {place}"
    wrong = [words for words in here if words not in wanted]
    if wanted and wrong:
        out.contradicted.append(f"{name}: {wrong} for {wanted}")
    elif wanted and set(wanted) <= set(here):
        out.right += 1
    elif asked:
        out.asked += 1
    elif here:
        out.unjudged.append(f"{name}: {here}")
    else:
        out.remarks.append(f"{name}: {wanted}")


def _meets(places: list[tuple[int, int]], place: tuple[int, int]) -> bool:
    return any(start < place[1] and place[0] < end for start, end in places)


def marked_turns(path: Path = EXAM) -> dict[str, list[int]]:
    """By dialogue, the turns in which the examiner states findings."""
    dialogues = map(json.loads, path.read_text("utf-8").splitlines())
    return {dialogue["id"]: dialogue["exam_turns"] for dialogue in dialogues}


def read_gold() -> dict[str, list[list]]:
    """The statements judged by hand."""
    return yaml.safe_load(GOLD.read_text("utf-8"))


def per_thousand(heard: list[Turn]) -> float:
    """Questions asked in 1,000 words."""
    return 1000 * sum(len(t.questions) for t in heard) / sum(t.words for t in heard)


def main() -> None:
    """Print the figures."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--list", action="store_true", help="print each line that is not right")
    listed = parser.parse_args().list
    talk, exams = turns(NEGATIVE), turns(EXAM)
    judged = score(exams, marked_turns(), read_gold())
    invented = [f"{t.dialogue} {t.number}: {row(f)}" for t in talk for f in t.findings]
    statements = judged.right + judged.asked + len(judged.remarks) + len(judged.contradicted)
    print(f"talk without an examination: {sum(t.words for t in talk)} words")
    print(f"  findings {len(invented)}, questions in 1,000 words {per_thousand(talk):.2f}")
    print(f"talk with an examination: {sum(t.words for t in exams)} words")
    print(f"  findings outside of the examiner's turns {len(judged.outside)}")
    print(f"  the examiner's statements {statements}: recorded {judged.right}, asked", end=" ")
    print(f"{judged.asked}, kept as remarks {len(judged.remarks)}", end=", ")
    print(f"contradicted {len(judged.contradicted)}")
    print(f"  findings in the examiner's turns that nobody judged {len(judged.unjudged)}")
    print(f"  questions in 1,000 words {per_thousand(exams):.2f}")
    if listed:
        for title in ("outside", "contradicted", "remarks", "unjudged"):
            print(title, *getattr(judged, title), sep="\n  ")
        print("invented", *invented, sep="\n  ")


if __name__ == "__main__":
    main()
