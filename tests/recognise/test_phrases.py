"""What the recogniser expects: all of the grammar, from the grammar alone."""

from __future__ import annotations

import shutil
import subprocess
from collections import Counter
from itertools import pairwise
from pathlib import Path

import pytest

from dictate.audio.file import FileSource
from dictate.grammar import load_grammar
from dictate.recognise import slots
from dictate.recognise.heard_as import Speller, restore_utterance
from dictate.recognise.phrases import MOST_PHRASES, phrases_of
from dictate.recognise.spoken import Speaker
from dictate.recognise.vosk import VoskModel, VoskRecogniser

GRAMMARS = Path(__file__).resolve().parents[2] / "grammars"
#: A test that no grammar of ours has; "bimbarb" is in no dictionary.
NEW_AREA = """
area: whistling
place: 90
heading: {spoken: [whistling exam], note: Whistling}
tests:
  whistling:
    name: whistling
    spoken: [whistling tune, bimbarb]
    side: none
    denied: absent
    values:
      melodious: {normal: true, spoken: [melodious]}
      absent: {normal: false}
    note: "Whistling {value}"
examples:
  - say: whistling tune melodious
    find: ["whistling - - melodious"]
"""


_LAST = ("tune", "hum", "trill", "chirp", "hoot")


def _denied(phrase):
    """A word of denial stands before the name, or the value that says that it is not there."""
    before = load_grammar().speech.negation.before
    return any(phrase.startswith(f"{word.lower()} ") for word in before) or "absent" in phrase


def everything(word):
    return True


@pytest.fixture(scope="module")
def grammar():
    return load_grammar()


@pytest.fixture(scope="module")
def made(grammar):
    return phrases_of(grammar, everything)


@pytest.fixture
def wider(tmp_path):
    """A folder of the whole grammar with one more area."""
    folder = tmp_path / "grammar"
    shutil.copytree(GRAMMARS, folder)
    (folder / "whistling.yaml").write_text(NEW_AREA, encoding="utf-8")
    return folder


@pytest.fixture(scope="module")
def model(model_folder):
    return VoskModel(model_folder)


def test_every_form_that_can_be_said_stands_in_a_phrase(grammar, made):
    speaker, speller, phrases = Speaker(grammar), Speller(grammar, everything), set(made.phrases)
    forms = set(slots.all_forms(grammar, speaker))
    missing, said = [], 0
    for form in forms:
        units = speaker.units(form)
        said += bool(units)
        if units and " ".join(speller.ways(unit)[0] for unit in units) not in phrases:
            missing.append(form)
    assert not missing
    assert said > 0.95 * len(forms) > 3000


def test_the_reader_has_no_form_that_is_not_collected(grammar):
    """What the reader finds words by, and what the recogniser is taught, is the same."""
    from dictate.interpret.lexicon import _forms

    speaker = Speaker(grammar)
    taught = {form.lower() for form in slots.all_forms(grammar, speaker)}
    glossed = {form.lower() for forms in grammar.misheard.misheard.values() for form in forms}
    missing = {form for form, _ in _forms(grammar) if form.lower() not in taught | glossed}
    assert {form for form in missing if speaker.units(form) and not form.startswith("x ")} == set()


def test_right_and_left_are_equally_likely(made):
    pairs: Counter[tuple[str, str]] = Counter()
    for phrase in made.phrases:
        words = ["<", *phrase.split(), ">"]
        pairs.update(pairwise(words))
    right = sum(count for pair, count in pairs.items() if "right" in pair)
    left = sum(count for pair, count in pairs.items() if "left" in pair)
    assert right == pytest.approx(left, rel=0.03)
    for phrase in ("no", "on", "the", "plus"):
        assert pairs[phrase, "right"] == pytest.approx(pairs[phrase, "left"], rel=0.15, abs=5)


def test_no_grade_is_expected_much_more_than_another(made):
    """Else the likeliest grade is heard where another was said."""
    counts = Counter(word for phrase in made.phrases for word in phrase.split())
    grades = [counts[word] for word in ("one", "two", "three", "four", "five")]
    assert max(grades) < 4 * min(grades)
    assert sum(grades) < 0.12 * sum(counts.values())


def test_phrases_are_few_enough_plain_words_and_always_the_same(grammar, made):
    assert 4_000 < len(made.phrases) <= MOST_PHRASES
    assert phrases_of(grammar, everything) == made
    for phrase in made.phrases:
        assert phrase == " ".join(phrase.lower().split()) and phrase
        assert not any(sign in phrase for sign in "{}0123456789+/,.;:()")


@pytest.mark.parametrize(
    "said",
    [
        "five out of five",
        "five of five",
        "four plus",
        "four minus out of five",
        "to four",
        "twenty forty",
        "no make that",
        "could not be tested",
        "same on the other side",
        "look at",
    ],
)
def test_words_of_every_kind_of_statement_stand_together_somewhere(made, said):
    assert any(f" {said} " in f" {phrase} " for phrase in made.phrases)


def test_a_new_test_is_expected_with_no_other_change(wider):
    # whether a name stands with a value or a denial is drawn: with so many names both come
    firsts = ("zorbel", "quandle", "mifkin", "torpel", "wumsel", "gradlin")
    names = [f"{first} {last}" for first in firsts for last in _LAST]
    text = NEW_AREA.replace("[whistling tune, bimbarb]", f"[whistling tune, {', '.join(names)}]")
    (wider / "whistling.yaml").write_text(text, encoding="utf-8")
    made = phrases_of(load_grammar(wider), everything)
    assert {"whistling tune", *names, "melodious"} <= set(made.phrases)
    together = [p for p in made.phrases if any(name in p for name in names)]
    assert any("melodious" in phrase for phrase in together)
    assert any(_denied(phrase) for phrase in together)


def test_a_word_that_the_engine_lacks_is_named(wider):
    (wider / "common" / "heard_as.yaml").unlink()
    made = phrases_of(load_grammar(wider), lambda word: word != "bimbarb")
    assert made.unheard == ("bimbarb",)
    assert not any("bimbarb" in phrase for phrase in made.phrases)


def test_a_word_that_the_engine_lacks_is_spelt(wider):
    (wider / "common" / "heard_as.yaml").write_text("heard_as: {bimbarb: [zip zap, sip sap]}\n")
    made = phrases_of(load_grammar(wider), lambda word: word != "bimbarb")
    assert made.unheard == ()
    assert made.back["zip", "zap"] == made.back["sip", "sap"] == "bimbarb"
    assert {"zip zap", "sip sap"} <= set(made.phrases)
    # which spelling comes where is drawn, and whether with a value or a denial
    spelt = [phrase for phrase in made.phrases if "zip zap" in phrase or "sip sap" in phrase]
    assert any("melodious" in phrase or _denied(phrase) for phrase in spelt)
    assert not any("bimbarb" in phrase for phrase in made.phrases)


def test_words_of_a_form_of_the_grammar_are_never_turned_back(grammar, made):
    forms = " | ".join(form.lower() for form in slots.all_forms(grammar, Speaker(grammar)))
    assert made.back
    assert not [words for words in made.back if f" {' '.join(words)} " in f" {forms} "]


def test_the_model_can_hear_all_of_the_grammar(grammar, model):
    made = phrases_of(grammar, model.knows)
    assert made.unheard == ()
    assert VoskRecogniser(model, phrases=made.phrases).unheard == ()


def speak(text: str, path: Path) -> Path:
    """Let a free synthesiser speak."""
    program = shutil.which("flite")
    if program is None:
        pytest.skip("the speech synthesiser flite is not installed")
    subprocess.run([program, "-voice", "slt", "-t", text, "-o", str(path)], check=True)
    return path


def test_a_new_test_is_heard(wider, model, tmp_path):
    (wider / "common" / "heard_as.yaml").write_text("heard_as: {bimbarb: [bim barb]}\n")
    made = phrases_of(load_grammar(wider), model.knows)
    sound = speak("Whistling tune melodious. No bimbarb.", tmp_path / "said.wav")
    heard = VoskRecogniser(model, phrases=made.phrases).utterances(FileSource(sound))
    text = " ".join(restore_utterance(utterance, made.back).text for utterance in heard)
    assert text == "whistling tune melodious no bimbarb"
