"""The pronouncing dictionary: the CMU Pronouncing Dictionary, as PocketSphinx brings it."""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files

from dictate.errors import UsageError

NOT_INSTALLED = "The pronouncing dictionary is not installed. Install the package 'pocketsphinx'."


@lru_cache(maxsize=1)
def pronounced() -> dict[str, tuple[str, ...]]:
    """Every word with its pronunciations, each as ARPAbet phonemes with spaces between them.

    135,000 words, about 20 MB, read in a tenth of a second when first needed.

    Raises:
        UsageError: The package that brings it is not installed.
    """
    try:
        path = files("pocketsphinx") / "model" / "en-us" / "cmudict-en-us.dict"
        lines = path.read_text(encoding="utf-8").splitlines()
    except (ImportError, OSError):
        raise UsageError(NOT_INSTALLED) from None
    found: dict[str, tuple[str, ...]] = {}
    for line in lines:
        word, _, phones = line.partition(" ")
        if phones.strip():
            bare = word.split("(")[0]
            found[bare] = (*found.get(bare, ()), phones.strip())
    return found
