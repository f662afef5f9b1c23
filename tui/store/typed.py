"""Dataclasses to plain JSON values and back, checked by their annotations. Knows no files.

A field may be str, int, float, bool, datetime (with its offset from UTC), an Enum or Literal, a dataclass, a
`tuple[X, ...]`, a `dict[str, X]`, or any of these `| None`. A field that has a default may be missing in what is
read, so that values written before the field existed are still understood.
"""

from __future__ import annotations

import enum
import math
import types
import typing
from collections.abc import Callable, Hashable
from dataclasses import MISSING, Field, fields, is_dataclass
from datetime import datetime
from functools import cache
from typing import Any, TypeVar, cast

T = TypeVar("T")


class Misfit(Exception):
    """A plain value is not what the annotation says; the message says where and what."""


def to_plain(value: object) -> object:
    """The value as JSON knows it. Raises TypeError for what it has no picture of."""
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: to_plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, enum.Enum):
        return value.value
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, dict):
        return {str(key): to_plain(one) for key, one in value.items()}
    if isinstance(value, tuple):
        return [to_plain(one) for one in value]
    if value is None or isinstance(value, (str, bool, int, float)):
        return value
    raise TypeError(f"{type(value).__name__} cannot be kept in a file")


def from_plain(cls: type[T], plain: object, where: str = "") -> T:
    """The value that a plain one stands for. Raises Misfit."""
    return cast(T, _read(cls, plain, where))


def _read(kind: object, plain: object, where: str) -> object:
    origin = typing.get_origin(kind)
    if origin in (types.UnionType, typing.Union):
        return _optional(kind, plain, where)
    if origin in _COMPOUND:
        return _COMPOUND[origin](kind, plain, where)
    if is_dataclass(kind):
        return _object(cast(type[Any], kind), plain, where)
    if isinstance(kind, type) and issubclass(kind, enum.Enum):
        return _one_of(kind, plain, where)
    if kind is datetime:
        return _time(plain, where)
    return _scalar(kind, plain, where)


def _optional(kind: object, plain: object, where: str) -> object:
    """`X | None`; other unions cannot be told apart in a file."""
    others = [one for one in typing.get_args(kind) if one is not types.NoneType]
    if len(others) != 1:
        raise TypeError(f"{kind} cannot be kept in a file")
    return None if plain is None else _read(others[0], plain, where)


def _tuple(kind: object, plain: object, where: str) -> object:
    item = typing.get_args(kind)[0]
    if not isinstance(plain, list):
        raise Misfit(f"{where or 'it'} is not a list")
    return tuple(_read(item, one, f"{where}[{number}]") for number, one in enumerate(plain))


def _mapping(kind: object, plain: object, where: str) -> object:
    item = typing.get_args(kind)[1]
    return {key: _read(item, one, f"{where}[{key!r}]") for key, one in _as_object(plain, where).items()}


def _literal(kind: object, plain: object, where: str) -> object:
    if not any(plain == one and type(plain) is type(one) for one in typing.get_args(kind)):
        raise Misfit(f"{where} is none of {', '.join(map(repr, typing.get_args(kind)))}")
    return plain


_COMPOUND: dict[object, Callable[[object, object, str], object]] = {
    tuple: _tuple,
    dict: _mapping,
    typing.Literal: _literal,
}


def _as_object(plain: object, where: str) -> dict[str, object]:
    if not isinstance(plain, dict):
        raise Misfit(f"{where or 'it'} is not an object")
    return plain


@cache
def _annotations(kind: Hashable) -> dict[str, object]:
    """What a class says of its fields; looked up once, for logs have many entries."""
    return typing.get_type_hints(kind)


def _object(kind: type[Any], plain: object, where: str) -> object:
    given = _as_object(plain, where)
    known = {field.name: field for field in fields(kind)}
    unknown = sorted(set(given) - set(known))
    if unknown:
        raise Misfit(f"{_path(where, unknown[0])} is not known")
    hints = _annotations(cast(Hashable, kind))
    read = {name: _read(hints[name], one, _path(where, name)) for name, one in given.items()}
    for name, field in known.items():
        if name not in read and _is_needed(field):
            raise Misfit(f"{_path(where, name)} is missing")
    return kind(**read)


def _is_needed(field: Field[Any]) -> bool:
    return field.default is MISSING and field.default_factory is MISSING


def _path(where: str, name: str) -> str:
    return f"{where}.{name}" if where else name


def _one_of(kind: type[enum.Enum], plain: object, where: str) -> object:
    try:
        return kind(plain)
    except ValueError:
        raise Misfit(f"{where} is none of {', '.join(repr(one.value) for one in kind)}") from None


def _time(plain: object, where: str) -> datetime:
    try:
        when = datetime.fromisoformat(cast(str, plain))
    except (TypeError, ValueError):
        raise Misfit(f"{where} is not a date and time") from None
    if when.tzinfo is None:
        raise Misfit(f"{where} does not say its offset from UTC")
    return when


#: What a scalar field takes, and what it is called. A whole number is a float too; a bool is no number.
_SCALARS: dict[object, tuple[tuple[type, ...], str]] = {
    str: ((str,), "text"),
    bool: ((bool,), "true or false"),
    int: ((int,), "a whole number"),
    float: ((int, float), "a number"),
}


def _scalar(kind: object, plain: object, where: str) -> object:
    if kind not in _SCALARS:
        raise TypeError(f"{kind} cannot be kept in a file")
    types_taken, called = _SCALARS[kind]
    if not isinstance(plain, types_taken) or (isinstance(plain, bool) and kind is not bool):
        raise Misfit(f"{where or 'it'} is not {called}")
    if kind is not float:
        return plain
    try:
        number = float(cast(float, plain))
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise Misfit(f"{where or 'it'} is not {called}")
    return number
