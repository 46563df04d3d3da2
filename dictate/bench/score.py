"""Heard against said: words, findings, questions."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from rapidfuzz.distance import Levenshtein

from dictate.bench.cases import Case, row
from dictate.model import Record


@dataclass(slots=True)
class Score:
    """Counts over many cases.

    Attributes:
        findings: Findings that were spoken.
        captured: Recorded as spoken.
        asked: Not recorded, and a question that the typed words do not raise is open in the case.
        lost: Neither recorded nor asked about; a question that should have been asked and was
            not, with nothing recorded for it either, is one too.
        silent: Recorded, and nobody spoke it.
        questions: Asked beyond those that the typed words raise.
    """

    findings: int = 0
    captured: int = 0
    asked: int = 0
    lost: int = 0
    silent: int = 0
    questions: int = 0
    words: int = 0
    word_errors: int = 0
    examples: list[str] = field(default_factory=list)

    def add(self, case: Case, record: Record) -> None:
        """Judge one case."""
        said, found = Counter(case.find), Counter(map(row, record.findings))
        kept = said & found
        wrong, missed = found - said, said - found
        wanted = Counter(case.ask)
        asked: Counter[str] = Counter(question.kind for question in record.questions)
        more = sum(asked.values()) - sum((wanted & asked).values())
        few = sum((wanted - asked).values())
        self.findings += sum(said.values())
        self.captured += sum(kept.values())
        self.silent += sum(wrong.values())
        self.questions += max(0, sum(asked.values()) - sum(wanted.values()))
        if more:
            self.asked += sum(missed.values())
        else:
            self.lost += sum(missed.values()) + (few if not wrong else 0)
        heard = [u.text for u in record.utterances]
        if wrong or (missed and not more):
            what = "SILENT" if wrong else "lost"
            self.examples.append(
                f"{what}: said {list(case.lines)} heard {heard} wrong {list(wrong)} "
                f"missed {list(missed)}"
            )
        elif more:
            self.examples.append(
                f"asked: said {list(case.lines)} heard {heard} "
                f"{[(q.kind, q.prompt) for q in record.questions]}"
            )
        self.add_words(case.lines, heard)

    def add_words(self, lines: Sequence[str], heard: Sequence[str]) -> None:
        """Count word errors (Levenshtein over words: one substituted, left out or put in)."""
        said, got = plain_words(" ".join(lines)), plain_words(" ".join(heard))
        self.words += len(said)
        self.word_errors += Levenshtein.distance(said, got)

    def plus(self, other: Score) -> None:
        """Add another score."""
        for name in ("findings", "captured", "asked", "lost", "silent", "questions"):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.words += other.words
        self.word_errors += other.word_errors
        self.examples += other.examples

    def line(self) -> str:
        """The figures as a row of the table."""
        of = max(1, self.findings)
        return (
            f"{self.findings:5} {self.word_errors / max(1, self.words):7.1%} "
            f"{self.captured / of:8.1%} {self.asked / of:7.1%} {self.lost / of:6.1%} "
            f"{100 * self.silent / of:7.2f} {100 * self.questions / of:7.1f}"
        )


#: Heads of the columns of ``Score.line``.
HEAD = " find-  words-  captured  asked   lost  silent  quest."
HEAD2 = " ings   wrong                          /100    /100 "


def plain_words(text: str) -> list[str]:
    """Words in small letters; hyphens part words."""
    return re.findall(r"[a-z']+", text.lower().replace("-", " ").replace("’", "'"))
