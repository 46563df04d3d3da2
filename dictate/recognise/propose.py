"""Which words of a grammar a speech model cannot hear, and spellings to paste into the grammar.

For maintainers: ``dictate grammar check`` and ``dictate grammar hear`` print what stands here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from dictate.errors import ModelError
from dictate.grammar.load import Grammar
from dictate.grammar.phrasing import words_with_meaning
from dictate.recognise.phrases import phrases_of
from dictate.recognise.pronunciation import Phones, dictionary, pronunciations, rareness
from dictate.recognise.spellings import SpellingSearch

Knows = Callable[[str], bool]
#: Spellings proposed for a word.
_MOST = 3


def model_words() -> Knows | None:
    """What tells whether the speech model on this computer knows a word; None without a model.

    Raises:
        ModelError: The model is damaged.
    """
    from dictate.recognise.model_store import find_model
    from dictate.recognise.vosk import VoskModel

    folder = find_model()
    return None if folder is None else VoskModel(folder).knows


def need_model_words() -> Knows:
    """The same, where nothing can be done without a model.

    Raises:
        ModelError: There is none, or it is damaged.
    """
    knows = model_words()
    if knows is None:
        raise ModelError("The speech model is not here yet. Run 'dictate setup'.")
    return knows


def hearing_faults(grammar: Grammar, knows: Knows) -> Iterator[str]:
    """Say, a sentence each, what in a grammar cannot be heard.

    Args:
        grammar: The grammar.
        knows: Tells whether the model knows a word.
    """
    for word in phrases_of(grammar, knows).unheard:
        yield (
            f"Nothing can hear {word!r} as it stands: the speech model does not know it. Until it "
            f"has spellings in common/heard_as.yaml, those of 'dictate grammar hear {word}' are "
            "taken: read them aloud, and correct them."
        )
    for word, spellings in grammar.heard_as.items():
        for spelling in spellings:
            strange = [piece for piece in spelling.lower().split() if not knows(piece)]
            if strange:
                yield (
                    f"The spelling {spelling!r} of {word!r} cannot be heard: the speech model does "
                    f"not know {strange[0]!r}."
                )


def missing_words(grammar: Grammar, knows: Knows) -> tuple[str, ...]:
    """The grammar's words that the model lacks and that have no spelling yet."""
    return tuple(word for word in phrases_of(grammar, knows).unheard if word.isalpha())


def propose(
    grammar: Grammar, knows: Knows, words: Iterable[str], sounds: Phones | None = None
) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Propose spellings for words, the nearest first, none where there are none.

    Args:
        grammar: Its words with a meaning of their own are kept out of spellings.
        knows: Tells whether the model knows a word.
        words: The words.
        sounds: How they are pronounced; None to look that up.

    Raises:
        UsageError: The pronunciation of a word is not known, or a package is missing.
    """
    kept_out = words_with_meaning(grammar) | _homophones(grammar)
    search = SpellingSearch(dictionary(), knows, rareness(), kept_out)
    for word in words:
        found: dict[str, float] = {}
        for phones in (sounds,) if sounds else pronunciations(word.lower()):
            for spelling in search.spellings(phones, _MOST):
                text = " ".join(spelling.words)
                found[text] = min(spelling.cost, found.get(text, spelling.cost))
        yield word, tuple(sorted(found, key=lambda text: found[text])[:_MOST])


def _homophones(grammar: Grammar) -> frozenset[str]:
    """Words that a recogniser writes for numbers ("for")."""
    return frozenset(grammar.misheard.numbers())


def as_yaml(word: str, spellings: Iterable[str]) -> str:
    """One entry, ready to be pasted under ``heard_as``."""
    return f"  {word}: [{', '.join(spellings)}]"
