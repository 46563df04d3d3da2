"""People saying one word each: what both listeners agree on is hardly ever another word."""

from __future__ import annotations

import csv
import os
import time
from collections import Counter
from pathlib import Path

import pytest

from dictate.audio.file import FileSource
from dictate.audio.source import AudioChunk
from dictate.model import Utterance
from dictate.recognise.pair import PairRecogniser

CLIPS = Path(__file__).resolve().parents[2].parent / "shared" / "data" / "human_speech"
#: So many of them are heard in the test suite, evenly chosen; all 494 with HEAR_ALL=1.
SHORT = 120
#: Of 494 lone words, so many may be heard as another of the words without a dispute.
MOST_SILENT = 2
#: Seconds between the clips on the time line: a hole, so that none is joined to the next.
APART_S = 5.0
#: Silence before and after each, in bytes (0.2 s).
_PAD = 6400


def _clips() -> list[tuple[str, Path]]:
    listing = CLIPS / "manifest.csv"
    if not listing.exists():
        pytest.skip(f"the recordings of people are not here ({CLIPS})")
    rows = csv.DictReader(listing.read_text(encoding="utf-8").splitlines())
    clips = [(row["words"], CLIPS / row["file"]) for row in rows if " " not in row["words"]]
    return clips if os.environ.get("HEAR_ALL") else clips[:: len(clips) // SHORT]


def _hear(recogniser: PairRecogniser, clips: list[Path]) -> list[list[Utterance]]:
    """What is heard of each clip; all in one listening, which is quicker than one for each."""
    listening = recogniser.start()
    heard: list[list[Utterance]] = [[] for _ in clips]
    starts = []
    at_s = 0.0
    found: list[Utterance] = []
    for path in clips:
        samples = b"".join(chunk.samples for chunk in FileSource(path).chunks())
        starts.append(at_s)
        found += listening.feed(AudioChunk(bytes(_PAD) + samples + bytes(_PAD), at_s))
        at_s += len(samples) / 32_000 + APART_S
    found += listening.finish()
    for utterance in found:
        number = max(n for n, start in enumerate(starts) if start <= (utterance.start or 0.0))
        heard[number].append(utterance)
    return heard


def _outcome(said: str, heard: list[Utterance], words: set[str]) -> str:
    text = " ".join(utterance.text for utterance in heard)
    disputed = any(utterance.disputed for utterance in heard)
    if not text or disputed:
        return "noticed"
    if text == said:
        return "right"
    return "silent" if text in words else "another"


def test_lone_words_of_people(model_folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    clips = _clips()
    words = {said for said, _ in clips}
    started = time.perf_counter()
    heard = _hear(PairRecogniser(model_folder), [path for _, path in clips])
    outcomes = [
        (_outcome(said, found, words), said, " ".join(u.text for u in found))
        for (said, _), found in zip(clips, heard, strict=True)
    ]
    count = Counter(outcome for outcome, _, _ in outcomes)
    silent = [(said, text) for outcome, said, text in outcomes if outcome == "silent"]
    with capsys.disabled():
        print(f"\n{len(clips)} lone words: {dict(count)}, {time.perf_counter() - started:.0f} s")
        print("silently another:", silent)
    assert len(silent) <= MOST_SILENT
    assert count["right"] > len(clips) / 2
