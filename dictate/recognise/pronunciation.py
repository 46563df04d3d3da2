"""How a word is pronounced, as ARPAbet phonemes; for the maintainer's search for spellings.

The lexicon's words come from the CMU Pronouncing Dictionary as PocketSphinx brings it, and how
common they are from its language model. A word that the dictionary lacks is asked of the program
eSpeak NG, where that is installed.
"""

from __future__ import annotations

import re
import shutil
import subprocess
from collections.abc import Callable
from functools import lru_cache
from importlib.resources import files

from dictate.errors import UsageError
from dictate.recognise.pronouncing import NOT_INSTALLED, pronounced

Phones = tuple[str, ...]

#: What eSpeak NG writes (International Phonetic Alphabet), as ARPAbet; the longest first.
_IPA = {
    "tʃ": "CH", "dʒ": "JH", "aɪ": "AY", "aʊ": "AW", "ɔɪ": "OY", "eɪ": "EY", "oʊ": "OW",
    "əʊ": "OW", "eə": "EH R", "ɛɹ": "EH R", "ɪə": "IH R", "iə": "IY AH", "ʊə": "UH R",
    "ɔːɹ": "AO R", "oːɹ": "AO R", "ɑːɹ": "AA R", "əl": "AH L", "n̩": "AH N", "ɜː": "ER", "ɚ": "ER",
    "ɝ": "ER", "iː": "IY", "uː": "UW", "ɑː": "AA", "ɔː": "AO", "oː": "AO", "ɐ": "AH", "ə": "AH",
    "ʌ": "AH", "ɪ": "IH", "i": "IY", "ᵻ": "IH", "ɛ": "EH", "e": "EH", "æ": "AE", "a": "AE",
    "ɒ": "AA", "ɑ": "AA", "ɔ": "AO", "o": "OW", "ʊ": "UH", "u": "UW",
    "p": "P", "b": "B", "t": "T", "d": "D", "ɾ": "T", "ʔ": "T",
    "k": "K", "ɡ": "G", "g": "G", "f": "F", "v": "V", "θ": "TH", "ð": "DH",
    "s": "S", "z": "Z", "ʃ": "SH", "ʒ": "ZH", "m": "M", "n": "N", "ŋ": "NG", "l": "L", "ɫ": "L",
    "ɹ": "R", "r": "R", "w": "W", "j": "Y", "h": "HH", "x": "K",
}  # fmt: skip
_IPA_PARTS = re.compile("|".join(map(re.escape, sorted(_IPA, key=len, reverse=True))))
#: Accents of eSpeak NG that are asked: words of the trade differ between them.
_ACCENTS = ("en-us", "en-gb")
_PATIENCE_S = 10
#: What a word that is in no language model costs as part of a spelling, in phonemes.
_RAREST = 0.35


@lru_cache(maxsize=1)
def dictionary() -> dict[str, tuple[Phones, ...]]:
    """Every word of the dictionary with its pronunciations.

    Raises:
        UsageError: The package that brings it is not installed.
    """
    known = pronounced()
    return {word: tuple(tuple(way.split()) for way in ways) for word, ways in known.items()}


def rareness() -> Callable[[str], float]:
    """How rare a word is: 0 for a common one, up to 0.35 for one that no language model has.

    Raises:
        UsageError: The package that brings the language model is not installed.
    """
    try:
        from pocketsphinx import Config, LogMath, NGramModel

        path = files("pocketsphinx") / "model" / "en-us" / "en-us.lm.bin"
        model = NGramModel(Config(), LogMath(), str(path))
    except (ImportError, OSError, RuntimeError, ValueError):
        raise UsageError(NOT_INSTALLED) from None
    unknown = model.prob(["qqqqqq"])

    def rare(word: str) -> float:
        found = model.prob([word])
        if found <= unknown:
            return _RAREST
        return min(_RAREST, max(0.0, -float(found) / 10_000 - 10.5) * 0.05)

    return rare


def pronunciations(word: str) -> tuple[Phones, ...]:
    """The ways to pronounce a word.

    Args:
        word: One word, lower case.

    Raises:
        UsageError: Neither the dictionary nor a speech synthesiser knows it.
    """
    known = dictionary().get(word, ())
    found = dict.fromkeys((*known, *(_ask_espeak(word, accent) for accent in _ACCENTS)))
    found.pop((), None)
    if not found:
        raise UsageError(
            f"The pronunciation of {word!r} is not known. Install the program espeak-ng, or give "
            "the phonemes with --sounds."
        )
    return tuple(found)


def read_phones(text: str) -> Phones:
    """Phonemes that a person typed ("N IH S T AE G M AH S"); digits of stress are left out.

    Raises:
        UsageError: One of them is no ARPAbet phoneme.
    """
    phones = tuple(re.sub(r"\d", "", text.upper()).split())
    known = {phone for entry in _IPA.values() for phone in entry.split()}
    wrong = [phone for phone in phones if phone not in known]
    if wrong or not phones:
        raise UsageError(
            f"{wrong[0] if wrong else text!r} is no ARPAbet phoneme. Write phonemes apart, as in "
            "'K L OW N AH S'."
        )
    return phones


def _ask_espeak(word: str, accent: str) -> Phones:
    program = shutil.which("espeak-ng")
    if program is None or not word.isalpha():
        return ()
    command = [program, "-q", "--ipa", "-v", accent, word]
    try:
        done = subprocess.run(
            command, capture_output=True, text=True, timeout=_PATIENCE_S, check=True
        )
    except (OSError, subprocess.SubprocessError):
        return ()
    parts = _IPA_PARTS.findall(re.sub("[ˈˌ‍͡]", "", done.stdout.strip()))
    return tuple(phone for part in parts for phone in _IPA[part].split())
