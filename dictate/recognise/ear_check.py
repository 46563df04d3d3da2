"""Lets the adapted listener hear the built-in sound, and says what it was not taught."""

from __future__ import annotations

import json
import time
from importlib.resources import as_file, files
from pathlib import Path

from dictate.errors import ModelError
from dictate.grammar.load import Grammar
from dictate.recognise.adapter import read_manifest
from dictate.recognise.ear_store import adapter_folder, find_ear
from dictate.recognise.model_check import PATIENCE_S, SAID, ModelCheck, part_heard
from dictate.recognise.own_process import run_python
from dictate.recognise.phrases import spoken_hash

#: Of the words said, this part must be heard (0 to 1).
_ENOUGH = 0.6
_HEAR = (
    "import json, sys; from pathlib import Path; from dictate.errors import ModelError\n"
    "from dictate.recognise.ear import ear_words\n"
    "try: print(json.dumps(ear_words(Path(sys.argv[1]), Path(sys.argv[2]))))\n"
    "except ModelError as error: sys.exit(str(error))\n"
)


def check_ear(folder: Path | None = None) -> ModelCheck:
    """Load the adapted listener and let it hear the built-in sound, in a process of its own.

    Args:
        folder: Where it is; None for the one that is found.

    Raises:
        ModelError: It is missing or damaged, or hears something else.
    """
    try:
        folder = folder or find_ear()
        started = time.monotonic()
        with as_file(files("dictate.recognise") / "check.flac") as path:
            printed = run_python(_HEAR, [str(folder), str(path)], PATIENCE_S, "loading and hearing")
    except ModelError as error:
        raise ModelError(f"The adapted listener cannot be used: {error}.") from None
    heard = str(json.loads(printed.strip().splitlines()[-1]))
    if part_heard(heard) < _ENOUGH:
        raise ModelError(
            f"The adapted listener in {folder} heard {heard!r} where {SAID!r} was said. "
            "Delete that folder and run 'dictate setup'."
        )
    return ModelCheck(folder, SAID, heard, time.monotonic() - started)


def not_taught(grammar: Grammar) -> str:
    """A sentence where the adapted listener was taught by another grammar; "" where by this one.

    Raises:
        ModelError: There is no adapter.
    """
    if read_manifest(adapter_folder()).grammar == spoken_hash(grammar):
        return ""
    return (
        "The adapted listener was taught another grammar: what is new in this one it hears less "
        "well, and the taught one checks it. 'dictate teach' (extra 'teach') teaches it anew."
    )
