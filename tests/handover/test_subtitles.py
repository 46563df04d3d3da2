"""SubRip and the captions of every word, read by packages that are not ours (srt, webvtt-py)."""

from __future__ import annotations

import srt
import webvtt

from dictate.grammar import load_grammar
from dictate.model import Record, Utterance, Word
from dictate.render.captions import captions, spoken_words, subtitles
from dictate.session import Session

TEXT = "left toe up & <right> toe down"


def _record() -> Record:
    words, at = [], 0
    for number, text in enumerate(TEXT.split(" ")):
        words.append(Word(text, at, at + len(text), number * 1.0, number + 0.5))
        at += len(text) + 1
    session = Session()
    session.hear(Utterance("u1", TEXT, 0.0, len(words) + 0.5, tuple(words)))
    return session.record()


def test_subtitles_are_the_captions() -> None:
    record, grammar = _record(), load_grammar()
    ours = list(srt.parse(subtitles(record, grammar)))
    cues = webvtt.from_string(captions(record, grammar)).captions
    assert [cue.content for cue in ours] == [cue.text for cue in cues]
    assert [cue.start.total_seconds() for cue in ours] == [cue.start_in_seconds for cue in cues]
    assert [cue.index for cue in ours] == list(range(1, len(cues) + 1))


def test_every_word_is_in_the_captions_of_the_words() -> None:
    cues = webvtt.from_string(spoken_words(_record())).captions
    assert " ".join(cue.text for cue in cues) == TEXT
