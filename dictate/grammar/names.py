"""How values and sites are written: the words of the grammar, put into plain English.

Nothing here adds a judgement: a value is written as the grammar or its scale writes it.
"""

from __future__ import annotations

from dictate.grammar import schema
from dictate.grammar.load import Grammar

#: Values that every test has, and how they are written.
NOT_DONE = {"not_tested": "not tested", "unable": "could not be done"}

#: The site that stands for the whole of a test.
WHOLE = "all"


def value_words(grammar: Grammar, test: str, value: str) -> str:
    """How a value is written: its ``reads``, or the grade as its scale writes it ("4+/5")."""
    spec = grammar.tests[test]
    if value in spec.values:
        return spec.values[value].reads or plain(value)
    if value in NOT_DONE:
        return NOT_DONE[value]
    if spec.scale is not None and is_grade(grammar, test, value):
        return grammar.scales[spec.scale].note.replace("{grade}", value)
    return plain(value)


def is_grade(grammar: Grammar, test: str, value: str) -> bool:
    """Whether the value is a grade or number of the test's scale (and no word of the test)."""
    spec = grammar.tests[test]
    if spec.scale is None or value in spec.values or value in NOT_DONE:
        return False
    return value in grammar.scales[spec.scale].grades or value.lstrip("+-")[:1].isdigit()


def normal_word(test: schema.Test, value: str) -> bool:
    """Whether the value is a word of the test that means normal."""
    return value in test.values and test.values[value].normal is True


def site_words(
    grammar: Grammar, test: str, site: str, said: str | None = None, plural: bool = False
) -> str:
    """The site's name, or the name it was called by.

    Args:
        grammar: Where the words come from.
        test: Id of the test that the site is a site of.
        site: Id of the site.
        said: The name it was called by, where that is not its own.
        plural: Whether both sides are meant; a name that was said has no plural of its own.
    """
    if said is not None:
        return said
    spec = grammar.sites_of(test).get(site, schema.Site())
    name = spec.name or plain(site)
    return (spec.names or name) if plural else name


def takes_article(grammar: Grammar, test: str, site: str, said: str | None = None) -> bool:
    """Whether English says "the": not of a name in capitals and digits ("V1")."""
    name = site_words(grammar, test, site, said)
    return any(letter.islower() for letter in name)


def plain(identifier: str) -> str:
    """An id as words."""
    return identifier.replace("_", " ")


def capital(text: str) -> str:
    """The text with its first letter as a capital, the rest as it is."""
    return text[:1].upper() + text[1:]


def listed(items: list[str], last: str = "and") -> str:
    """Words as a list: "a, b and c"."""
    if len(items) < 2:
        return "".join(items)
    return f"{', '.join(items[:-1])} {last} {items[-1]}"


def fill(template: str, **words: str) -> str:
    """Put words into a note template; empty ones leave no double space behind."""
    for key, value in words.items():
        template = template.replace("{" + key + "}", value)
    return " ".join(template.split()).replace(" ,", ",")
