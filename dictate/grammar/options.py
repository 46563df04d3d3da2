"""What may be chosen for a test by hand: its values, its sites, whether it takes a side."""

from __future__ import annotations

from dataclasses import dataclass

from dictate.grammar.load import Grammar
from dictate.grammar.names import NOT_DONE, site_words, value_words


@dataclass(frozen=True, slots=True)
class Options:
    """The choices of one test: ids and how they are written.

    ``free``: other values may be written as well (a count, a measure).
    """

    name: str
    values: tuple[tuple[str, str], ...]
    sites: tuple[tuple[str, str], ...]
    sided: bool
    free: bool


def options_of(grammar: Grammar, test: str) -> Options:
    """The choices of a test.

    Args:
        grammar: Where they come from.
        test: Its id.
    """
    spec = grammar.tests[test]
    scale = grammar.scales[spec.scale] if spec.scale is not None else None
    grades = scale.grades if scale is not None else ()
    values = dict.fromkeys((*grades, *spec.values, *NOT_DONE))
    return Options(
        spec.name,
        tuple((value, value_words(grammar, test, value)) for value in values),
        tuple((site, site_words(grammar, test, site)) for site in grammar.sites_of(test)),
        spec.side != "none",
        scale is not None and scale.kind != "grades",
    )
