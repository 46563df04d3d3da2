"""Whether a model works: it hears a short recording that came with the program."""

from __future__ import annotations

from importlib.resources import as_file, files
from pathlib import Path

from dictate.audio.file import FileSource
from dictate.errors import ModelError
from dictate.recognise.vosk import VoskRecogniser

#: The recording (made by a speech synthesiser) and what is said in it.
RECORDING = "check.flac"
SAID = "left deltoid four"


def try_model(model: Path) -> str:
    """Recognise the recording, held to what is said in it and to what might be said instead.

    Args:
        model: The model's folder.

    Returns:
        One sentence that says where the model is and what it heard.

    Raises:
        ModelError: The model cannot be loaded or does not hear what was said.
    """
    recogniser = VoskRecogniser(model, [SAID, "right", "five", "biceps", "[unk]"])
    with as_file(files("dictate.recognise") / RECORDING) as recording:
        heard = " ".join(found.text for found in recogniser.utterances(FileSource(recording)))
    if heard != SAID:
        raise ModelError(
            f'The speech model at {model} heard "{heard}" where "{SAID}" was said. '
            "Run: dictate setup"
        )
    return f'The speech model at {model} works: it heard "{heard}".'
