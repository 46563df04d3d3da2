"""A clinician's own grammar: files that add to the one that came with the program.

A folder without ``common/`` holds such files, one an area. What they define is joined to what was
shipped; a test that is already there is an error unless the file says that it replaces it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import NoReturn

from dictate.errors import GrammarError
from dictate.grammar import schema
from dictate.grammar.read import Lines, read_yaml, shape


@dataclass(frozen=True, slots=True)
class OwnFile:
    """One file of the folder, with its name for messages."""

    name: str
    content: schema.OwnArea
    lines: Lines

    def fail(self, reason: str, *path: str | int) -> NoReturn:
        """Refuse the file.

        Raises:
            GrammarError: Always, with file, line and reason.
        """
        raise GrammarError(f"{self.name}:{self.lines.of(path)}: {reason}")


@dataclass(slots=True)
class Joined:
    """Areas with what was added; ``origins`` names file and number of an added example."""

    areas: dict[str, schema.Area]
    files: dict[str, str]
    heard_as: dict[str, schema.Words]
    origins: dict[tuple[str, int], tuple[str, int]] = field(default_factory=dict)


def read_own(texts: Iterable[tuple[str, str]]) -> list[OwnFile]:
    """Read the files of a folder, in the order of their names.

    Raises:
        GrammarError: A file is broken or is no area.
    """
    read = []
    for name, text in texts:
        data, lines = read_yaml(name, text)
        read.append(OwnFile(name, shape(schema.OwnArea, name, data, lines), lines))
    return read


def join(
    areas: Iterable[schema.Area],
    files: Mapping[str, str],
    heard_as: Mapping[str, schema.Words],
    own: Iterable[OwnFile],
) -> Joined:
    """Add a clinician's files to the areas that were shipped.

    Args:
        areas: What was shipped.
        files: The file of each area, by the area's id.
        heard_as: Spellings for the speech recogniser, by word.
        own: The files to add.

    Raises:
        GrammarError: A test stands twice, or a file speaks of a test or value that is nowhere.
    """
    joined = Joined({area.area: area for area in areas}, dict(files), dict(heard_as))
    for file in own:
        _replace(joined, file)
        _define(joined, file)
        _say_more(joined, file)
        joined.heard_as.update(file.content.heard_as)
    return joined


def _owner(joined: Joined, test: str) -> schema.Area | None:
    return next((area for area in joined.areas.values() if test in area.tests), None)


def _replace(joined: Joined, file: OwnFile) -> None:
    for test in file.content.replaces:
        owner = _owner(joined, test)
        if owner is None:
            file.fail(f"there is no test {test!r} that this could replace.", "replaces")
        if test not in file.content.tests:
            file.fail(f"{test!r} is replaced, and this file does not define it.", "replaces")
        left = {name: spec for name, spec in owner.tests.items() if name != test}
        # an example that speaks of the test says what it was before
        kept = tuple(
            example
            for example in owner.examples
            if not any(row.split(" ", 1)[0] == test for row in example.find or ())
        )
        joined.areas[owner.area] = owner.model_copy(update={"tests": left, "examples": kept})


def _define(joined: Joined, file: OwnFile) -> None:
    content = file.content
    for test in content.tests:
        owner = _owner(joined, test)
        if owner is not None:
            file.fail(
                f"the test {test!r} is there already, in the area {owner.area!r}. "
                f"Write 'replaces: [{test}]' if this one takes its place.",
                "tests",
                test,
            )
    base = joined.areas.get(content.area)
    if base is None:
        if content.place is None or content.heading is None:
            file.fail(f"{content.area!r} is a new area. Give it a place and a heading.", "area")
        base = schema.Area(
            area=content.area,
            place=content.place,
            heading=content.heading,
            tests={},
            examples=content.examples,
        ).model_copy(update={"examples": ()})
        joined.files[content.area] = file.name
    spoken = content.heading.spoken if content.heading else ()
    heading = base.heading.model_copy(
        update={"spoken": tuple(dict.fromkeys((*base.heading.spoken, *spoken)))}
    )
    for number in range(len(content.examples)):
        joined.origins[content.area, len(base.examples) + number] = (file.name, number)
    joined.areas[content.area] = base.model_copy(
        update={
            "tests": {**base.tests, **content.tests},
            "told": (*base.told, *content.told),
            "examples": (*base.examples, *content.examples),
            "heading": heading,
        }
    )


def _say_more(joined: Joined, file: OwnFile) -> None:
    content = file.content
    for test in (*content.also_called, *content.also_said):
        owner = _owner(joined, test)
        key = "also_called" if test in content.also_called else "also_said"
        if owner is None:
            file.fail(f"there is no test {test!r}.", key, test)
        spec = owner.tests[test]
        values = dict(spec.values)
        for value, words in content.also_said.get(test, {}).items():
            if value not in values:
                file.fail(f"the test {test!r} has no value {value!r}.", "also_said", test, value)
            spoken = (*values[value].spoken, *words)
            values[value] = values[value].model_copy(update={"spoken": spoken})
        called = (*spec.spoken, *content.also_called.get(test, ()))
        more = spec.model_copy(update={"spoken": tuple(dict.fromkeys(called)), "values": values})
        joined.areas[owner.area] = owner.model_copy(update={"tests": {**owner.tests, test: more}})
