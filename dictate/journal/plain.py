"""The record's own shapes (``dictate.model``) as plain JSON values, and back."""

from __future__ import annotations

import types
from dataclasses import fields, is_dataclass
from functools import lru_cache
from typing import Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

Shape = TypeVar("Shape")


def to_plain(value: object) -> Any:
    """Turn a frozen shape into what JSON can hold: every field by its name, tuples as lists."""
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: to_plain(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, tuple | list):
        return [to_plain(part) for part in value]
    return value


def from_plain(shape: type[Shape], value: object) -> Shape:
    """Turn a plain value back into a shape; a field that is missing takes its default.

    Raises:
        ValueError: The value does not fit the shape.
    """
    made: Shape = _read(shape, value)
    return made


def _read(hint: Any, value: Any) -> Any:
    if is_dataclass(hint) and isinstance(hint, type):
        return _read_shape(hint, value)
    origin, parts = get_origin(hint), get_args(hint)
    if origin is tuple:
        if not isinstance(value, list):
            raise ValueError(f"a list was expected, not {value!r}")
        return tuple(_read(parts[0], part) for part in value)
    if origin in (Union, types.UnionType):
        if value is None and type(None) in parts:
            return None
        return _read(next(part for part in parts if part is not type(None)), value)
    if origin is Literal:
        if value not in parts:
            raise ValueError(f"{value!r} is none of {', '.join(map(str, parts))}")
        return value
    return _read_single(hint, value)


def _read_single(hint: Any, value: Any) -> Any:
    if hint is float and isinstance(value, int | float) and not isinstance(value, bool):
        return float(value)
    if type(value) is not hint:
        raise ValueError(f"{value!r} is no {hint.__name__}")
    return value


def _read_shape(shape: type, value: Any) -> Any:
    if not isinstance(value, dict):
        raise ValueError(f"{shape.__name__} must be an object in braces")
    hints = _hints(shape)
    unknown = sorted(set(value) - set(hints))
    if unknown:
        raise ValueError(f"{shape.__name__} has no {unknown[0]!r}")
    try:
        return shape(**{name: _read(hints[name], part) for name, part in value.items()})
    except TypeError:
        raise ValueError(f"{shape.__name__} lacks something that it must have") from None


@lru_cache(maxsize=64)
def _hints(shape: type) -> dict[str, Any]:
    return get_type_hints(shape)
