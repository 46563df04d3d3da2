"""YAML read as text only, with the line of every key, and duplicate keys refused.

The usual loader turns ``no`` and ``on`` into booleans and ``12:30`` into 750, and lets a second
key silently replace the first. A grammar full of "no" cannot live with that.
"""

from __future__ import annotations

from typing import Any, TypeVar

import yaml
from pydantic import BaseModel, ValidationError

from dictate.errors import GrammarError
from dictate.grammar.mistakes import sentence

Kind = TypeVar("Kind", bound=BaseModel)
_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)

#: The path of a value in a file, e.g. ("tests", "tone", "values").
Path = tuple[str | int, ...]


class Lines(dict[Path, int]):
    """Line numbers (from 1) by path; asks the nearest parent where a path has none."""

    def of(self, path: Path) -> int:
        """The line of ``path`` or of the nearest thing around it."""
        while path not in self and path:
            path = path[:-1]
        return self.get(path, 1)


def read_yaml(name: str, text: str) -> tuple[Any, Lines]:
    """Parse one file to plain dicts, lists and strings.

    Args:
        name: The file's name, for the message.
        text: Its content.

    Returns:
        The data (every scalar a string, ``true``/``false``/``null`` as such) and its lines.

    Raises:
        GrammarError: Broken YAML, a tab, or a key that stands twice.
    """
    try:
        node = yaml.compose(text, Loader=_LOADER)
    except yaml.YAMLError as fault:
        mark = getattr(fault, "problem_mark", None)
        line = mark.line + 1 if mark else 1
        raise GrammarError(f"{name}:{line}: {sentence(str(fault), text, line)}") from fault
    lines = Lines()
    if node is None:
        raise GrammarError(f"{name}:1: the file is empty. Give it the keys its kind of file needs.")
    return _plain(node, name, (), lines), lines


def _plain(node: yaml.Node, name: str, path: Path, lines: Lines) -> Any:
    lines[path] = node.start_mark.line + 1
    if isinstance(node, yaml.MappingNode):
        return _mapping(node, name, path, lines)
    if isinstance(node, yaml.SequenceNode):
        return [_plain(item, name, (*path, i), lines) for i, item in enumerate(node.value)]
    bare = not getattr(node, "style", None)  # None or "", by the loader in use
    if bare and node.value in {"true", "false"}:
        return node.value == "true"
    if bare and node.value in {"null", "~", ""}:
        return None
    return node.value


def _mapping(node: yaml.MappingNode, name: str, path: Path, lines: Lines) -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key_node, value_node in node.value:
        key, line = str(key_node.value), key_node.start_mark.line + 1
        if key in found:
            raise GrammarError(f"{name}:{line}: {key!r} stands twice. Keep one of the two.")
        found[key] = _plain(value_node, name, (*path, key), lines)
        lines[(*path, key)] = line
    return found


def shape(kind: type[Kind], name: str, data: Any, lines: Lines) -> Kind:
    """Hold the data against the shape of its kind of file.

    Raises:
        GrammarError: With file, line and reason; an unknown key is named before a missing one,
            since the misspelt key causes both.
    """
    try:
        return kind.model_validate(data)
    except ValidationError as fault:
        errors = sorted(fault.errors(), key=lambda error: error["type"] != "extra_forbidden")
        first = errors[0]
        where = tuple(first["loc"])
        key = where[-1] if where else name
        reason = {
            "extra_forbidden": f"{key!r} is no key of this place. Check its spelling",
            "missing": f"{key!r} is missing here. Add it",
        }.get(first["type"], f"{'.'.join(map(str, where))}: {first['msg']}")
        raise GrammarError(f"{name}:{lines.of(where)}: {reason}.") from fault
