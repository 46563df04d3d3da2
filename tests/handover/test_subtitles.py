"""SubRip and the captions of every word, read by packages that are not ours (srt, webvtt-py)."""

from __future__ import annotations

import html

import srt
import webvtt

from dictate.grammar import load_grammar
from dictate.model import Record, Utterance, Word
from dictate.render.captions import captions, chapters, spoken_words, subtitles
from dictate.session import Session

TEXT = "left toe up & <right> toe down"


def spoken() -> Record:
    words, at = [], 0
    for number, text in enumerate(TEXT.split(" ")):
        words.append(Word(text, at, at + len(text), number * 1.0, number + 0.5))
        at += len(text) + 1
    session = Session(alone=True)
    session.hear(Utterance("u1", TEXT, 0.0, len(words) + 0.5, tuple(words)))
    return session.record()


def test_subtitles_are_the_captions() -> None:
    record, grammar = spoken(), load_grammar()
    ours = list(srt.parse(subtitles(record, grammar)))
    cues = webvtt.from_string(captions(record, grammar)).captions
    first, *others = [cue.content for cue in ours]
    assert first.splitlines() == [*cues[0].text.splitlines(), "[Draft, not signed]"]
    assert others == [cue.text for cue in cues[1:]]
    assert [cue.start.total_seconds() for cue in ours] == [cue.start_in_seconds for cue in cues]
    assert [cue.index for cue in ours] == list(range(1, len(cues) + 1))


def test_every_word_is_in_the_captions_of_the_words() -> None:
    cues = webvtt.from_string(spoken_words(spoken())).captions
    assert html.unescape(" ".join(cue.text for cue in cues)) == TEXT


def test_every_kind_of_caption_says_that_the_note_is_a_draft() -> None:
    for made in (captions, chapters, spoken_words):
        assert made(spoken(), load_grammar()).splitlines()[:3] == [
            "WEBVTT", "", "NOTE Draft, not signed",
        ]  # fmt: skip
