"""Lets a speech model hear a short sound that is known, before anybody relies on it."""

from __future__ import annotations

import json
import time
from dataclasses import dataclass
from importlib.resources import as_file, files
from pathlib import Path

from dictate.errors import ModelError
from dictate.recognise.model_folder import check_folder
from dictate.recognise.own_process import run_python

#: What is said in ``check.flac``, made with the free speech synthesiser eSpeak NG.
SAID = "left arm and right leg"
#: A model that has not heard it by then never will (seconds).
PATIENCE_S = 120.0
#: Of the words said, this part must be heard for the model to be of use (0 to 1).
_ENOUGH = 0.6
_HEAR = (
    "import json, sys; from pathlib import Path; from dictate.errors import ModelError\n"
    "from dictate.audio.file import FileSource; from dictate.grammar import load_grammar\n"
    "from dictate.recognise.phrases import phrases_of\n"
    "from dictate.recognise.vosk import VoskModel, VoskRecogniser\n"
    "try:\n"
    "    model, phrases = VoskModel(Path(sys.argv[1])), None\n"
    "    if sys.argv[3] == 'taught': phrases = phrases_of(load_grammar(), model.knows).phrases\n"
    "    recogniser = VoskRecogniser(model, phrases=phrases)\n"
    "    heard = list(recogniser.utterances(FileSource(Path(sys.argv[2]))))\n"
    "except ModelError as error: sys.exit(str(error))\n"
    "print(json.dumps(' '.join(utterance.text for utterance in heard)))\n"
)


@dataclass(frozen=True, slots=True)
class ModelCheck:
    """What a model heard; ``seconds`` is the time it took, loading included."""

    folder: Path
    said: str
    heard: str
    seconds: float


def check_hearing(folder: Path, taught: bool = False) -> ModelCheck:
    """Load a model and let it hear the built-in sound, in a process of its own.

    Args:
        folder: The model's folder.
        taught: Teach it the phrases of the grammar before.

    Raises:
        ModelError: The model is incomplete, damaged, or hears something else.
    """
    check_folder(folder, thorough=True)
    started = time.monotonic()
    sound = files("dictate.recognise") / "check.flac"
    with as_file(sound) as path:
        try:
            printed = run_python(
                _HEAR,
                [str(folder.resolve()), str(path), "taught" if taught else "open"],
                PATIENCE_S,
                "loading and hearing",
            )
        except ModelError as error:
            raise ModelError(
                f"The speech model in {folder} cannot be used: {error}. "
                "Delete that folder and run 'dictate setup'."
            ) from None
    heard = str(json.loads(printed.strip().splitlines()[-1]))
    if part_heard(heard) < _ENOUGH:
        raise ModelError(
            f"The speech model in {folder} heard {heard!r} where {SAID!r} was said. "
            "Name a model for English to 'dictate setup'."
        )
    return ModelCheck(folder, SAID, heard, time.monotonic() - started)


def part_heard(heard: str) -> float:
    """The part of what is said in the built-in sound that was heard (0 to 1)."""
    words, left = SAID.split(), heard.split()
    found = 0
    for word in words:
        if word in left:
            left.remove(word)
            found += 1
    return found / len(words)
