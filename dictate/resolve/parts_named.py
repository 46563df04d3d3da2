"""Parts of a site that were named by half of their names: "the face is weak, upper and lower"."""

from __future__ import annotations

from collections.abc import Collection

from dictate.grammar.load import Grammar


def parts_named(grammar: Grammar, test: str, said: Collection[str]) -> tuple[str, ...]:
    """The sites of a test that words mean which only with another word are their names.

    Args:
        grammar: For the sites of the test.
        test: The test; only one with sites of its own has such parts.
        said: The qualifying words, in lower case.
    """
    if isinstance(grammar.tests[test].sites, str):
        return ()
    return tuple(
        name
        for name, entry in grammar.sites_of(test).items()
        if any(form.lower().split(" ")[0] in said for form in entry.spoken if " " in form)
    )


def narrowed(grammar: Grammar, test: str, site: str, said: Collection[str]) -> str:
    """ "Distally in the arms": the part of the limb, where the test has it and only it was said."""
    found = [
        name
        for name, entry in grammar.sites_of(test).items()
        if site in entry.part_of and any(word in entry.narrowed_by for word in said)
    ]
    return found[0] if len(found) == 1 else site
