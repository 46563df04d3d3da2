"""SubRip and the captions of every word, read by packages that are not ours (srt, webvtt-py)."""

from __future__ import annotations

import html
from dataclasses import replace

import srt
import webvtt

from dictate.grammar import load_grammar
from dictate.model import (
    Addendum,
    Examined,
    Place,
    Question,
    Record,
    Signature,
    Utterance,
    Word,
)
from dictate.render.captions import captions, chapters, spoken_words, subtitles
from dictate.session import Session

TEXT = "left toe up & <right> toe down"


BOTH = "left toe up, right toe down"


def spoken(said: str = TEXT) -> Record:
    words, at = [], 0
    for number, text in enumerate(said.split(" ")):
        words.append(Word(text, at, at + len(text), number * 1.0, number + 0.5))
        at += len(text) + 1
    session = Session(alone=True)
    session.hear(Utterance("u1", said, 0.0, len(words) + 0.5, tuple(words)))
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


def heard_by_both() -> Record:
    record = spoken(BOTH)
    return replace(record, findings=tuple(replace(f, checked=True) for f in record.findings))


def amended() -> Record:
    """Signed; a signed addendum changes what was spoken, a second one adds in writing and asks."""
    first = heard_by_both()
    up = next(found for found in first.findings if found.side == "left")
    down = next(found for found in first.findings if found.side == "right")
    written = Place("h1", 0, 4)
    up_no_more = replace(up, value="flexor", normal=True, said=(written,))
    later = replace(down, test="hoffmann", site=None, value="present", said=(written,))
    by = Signature("A. Examiner", "2026-01-02T10:20:00Z", "00" * 32, "11" * 32)
    asked = Question("q9", "side", down.said, "Hoffmann sign: right, left or both?")
    addenda = (
        Addendum(by.at, (up_no_more,), (up,), signature=by),
        Addendum(by.at, (later,), (down,), asked=(asked,)),
    )
    return replace(first, examined=Examined("6f1c", by.at, "", by, addenda))


def starts(made: str) -> dict[str, float]:
    return {cue.raw_text: cue.start_in_seconds for cue in webvtt.from_string(made).captions}


def test_captions_show_what_addenda_changed() -> None:
    made = captions(amended(), load_grammar())
    cues = starts(made)
    was = starts(captions(heard_by_both(), load_grammar()))
    # changed and signed: at the seconds of what it changed, which is shown no more
    changed = "Left plantar response flexor (addendum 1)"
    assert cues[changed] == was["Left plantar response extensor"]
    assert "Left plantar response extensor" not in cues
    # taken out and not signed yet: still shown, and it says so
    down = "Right plantar response flexor (taken out by addendum 2, which is not signed)"
    both = next(text for text in cues if text.startswith(down))
    assert "To be settled: Hoffmann sign: right, left or both?" in both
    # added in writing: no second is its own, so it is a comment
    written = "Added in writing, not in the recording: Hoffmann sign present on the right"
    assert f"NOTE {written} (addendum 2, not signed)" in made.splitlines()
    assert written in next(srt.parse(subtitles(amended(), load_grammar()))).content
    assert not any("Hoffmann sign present" in text for text in cues)
