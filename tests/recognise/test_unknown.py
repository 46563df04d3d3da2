"""A word that no lexicon knows, added to a grammar file by one line, is heard at once."""

from __future__ import annotations

import shutil
import subprocess
from dataclasses import replace
from pathlib import Path

import pytest

from dictate.audio.file import FileSource
from dictate.errors import UsageError
from dictate.grammar import load_grammar
from dictate.recognise import unknown
from dictate.recognise.pair import PairRecogniser
from dictate.recognise.pronunciation import dictionary
from dictate.recognise.unknown import with_spellings
from dictate.recognise.vosk import VoskModel
from dictate.session import Session

GRAMMAR = load_grammar()
#: The second line is the one that is added.
OWN = """\
area: gait
also_called: {gait: [gromdivole]}
examples:
  - say: gromdivole normal
    find: ["gait - - normal"]
"""


def _known(word: str) -> bool:
    return word in dictionary()


def _sounds(monkeypatch: pytest.MonkeyPatch) -> None:
    """One word has a known sound, another has none."""

    def said(word: str) -> tuple[tuple[str, ...], ...]:
        if word != "zibzab":
            raise UsageError("nobody says it.")
        return (("Z", "IH", "B", "Z", "AE", "B"),)

    monkeypatch.setattr(unknown, "pronunciations", said)
    monkeypatch.setattr("dictate.recognise.propose.pronunciations", said)


def test_a_word_gets_spellings_of_known_words(monkeypatch: pytest.MonkeyPatch) -> None:
    _sounds(monkeypatch)
    found = with_spellings(GRAMMAR, _known, ("zibzab", "qqq", "5/5"))
    assert "qqq" not in found.heard_as and "5/5" not in found.heard_as
    spellings = found.heard_as["zibzab"]
    assert spellings
    assert all(_known(piece) for spelling in spellings for piece in spelling.split())


def test_what_a_person_wrote_stands(monkeypatch: pytest.MonkeyPatch) -> None:
    _sounds(monkeypatch)
    own = replace(GRAMMAR, heard_as={**GRAMMAR.heard_as, "zibzab": ("sib sap",)})
    assert with_spellings(own, _known, ("zibzab",)).heard_as["zibzab"] == ("sib sap",)


def test_it_is_heard_in_a_voice_that_tests(model_folder: Path, tmp_path: Path) -> None:
    if shutil.which("flite") is None or shutil.which("espeak-ng") is None:
        pytest.skip("the speech synthesisers flite and espeak-ng are not installed")
    assert "gromdivole" not in dictionary()
    model = VoskModel(model_folder)
    assert not model.knows("gromdivole")
    (tmp_path / "own").mkdir()
    (tmp_path / "own" / "mine.yaml").write_text(OWN, encoding="utf-8")
    sound = tmp_path / "said.wav"
    command = ["flite", "-voice", "kal16", "-t", "gromdivole normal", "-o", str(sound)]
    subprocess.run(command, check=True, capture_output=True)

    def found(grammar):  # type: ignore[no-untyped-def]
        session = Session(grammar)
        for utterance in PairRecogniser(model, grammar).utterances(FileSource(sound)):
            session.take(utterance)
        return [(f.test, f.value) for f in session.record().findings]

    assert found(load_grammar(tmp_path / "own")) == [("gait", "normal")]
    assert found(GRAMMAR) == []
