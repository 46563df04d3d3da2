"""Forms that stand for many: "<react> <slowly>" is each verb of one class with each of another."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import reduce

from dictate.errors import GrammarError
from dictate.grammar import schema

_CLASS = re.compile(r"<(\w+)>")


def expanded(area: schema.Area, classes: Mapping[str, schema.Words], file: str) -> schema.Area:
    """An area with every form of its tests' names and values written out.

    Args:
        area: As the file has it. In ``spoken``, ``plural`` and ``alone``, ``<class>`` stands for
            each form of a class of common/closed.yaml.
        classes: Those classes.
        file: Where the area stands, for errors.

    Raises:
        GrammarError: A form names a class that there is none of.
    """

    def out(words: schema.Words) -> schema.Words:
        if not any("<" in form for form in words):
            return words
        return tuple(dict.fromkeys(f for form in words for f in _forms(form, classes, file)))

    def value(one: schema.Value) -> schema.Value:
        return one.model_copy(update={"spoken": out(one.spoken), "alone": out(one.alone)})

    def test(one: schema.Test) -> schema.Test:
        values = {name: value(entry) for name, entry in one.values.items()}
        update = {"spoken": out(one.spoken), "plural": out(one.plural), "values": values}
        return one.model_copy(update=update)

    return area.model_copy(update={"tests": {name: test(t) for name, t in area.tests.items()}})


def _forms(form: str, classes: Mapping[str, schema.Words], file: str) -> Iterable[str]:
    names = _CLASS.findall(form)
    for name in names:
        if name not in classes:
            raise GrammarError(f"{file}:1: the form {form!r} names the class {name!r}; none is so.")

    def filled(made: list[str], name: str) -> list[str]:
        return [text.replace(f"<{name}>", word, 1) for text in made for word in classes[name]]

    return reduce(filled, names, [form])
