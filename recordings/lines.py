"""The line syntax of a recording: header, column line, rows, marks, end; to bytes and back.

Owns how frozen values become one line and how strictly a line is read. Knows no files. Every line is ASCII
and ends in a single line feed:

    # {"format": "strandbench-pull", "version": 1, …}
    t_us,counts,steps,flags
    0,8123,0,1
    # {"mark": "started", …}
    12500,8131,4,1
    # {"end": "break", "rows": 2, "sha256": "…"}
"""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from dataclasses import MISSING, asdict, fields, is_dataclass
from functools import cache
from types import NoneType, UnionType
from typing import TYPE_CHECKING, Any, TypeVar, Union, cast, get_args, get_origin, get_type_hints

from recordings.format import COLUMNS, FORMAT_NAME, FORMAT_VERSION, End, Header, Mark
from recordings.text import shown

if TYPE_CHECKING:
    from _typeshed import DataclassInstance

COMMENT = b"# "
COLUMN_LINE = ",".join(COLUMNS).encode() + b"\n"
#: Whole numbers outside 64 bits are refused: nothing that a rig counts needs more.
INT_MAX = 2**63 - 1
#: What a line looks like that another program has rewritten, for messages.
SAVED_AGAIN = "as after saving it again with a spreadsheet or an editor"
#: How a type is called in a sentence.
TYPE_NAMES = {str: "a text", int: "a whole number", float: "a number", bool: "true or false", dict: "an object"}

T = TypeVar("T")


class BadLine(ValueError):
    """A line that does not say what it should; the text names the key or the place."""


class NewerVersion(BadLine):
    """A header of a format version that this program does not know yet."""


def encode_header(header: Header) -> bytes:
    """Write the first line."""
    return _encode({"format": FORMAT_NAME, "version": FORMAT_VERSION, **asdict(header)})


def encode_mark(mark: Mark) -> bytes:
    """Write a mark; its `row` is told by where it stands."""
    optional = {"t_us": mark.t_us, "text": mark.text, "data": mark.data}
    return _encode({"mark": mark.kind, **{k: v for k, v in optional.items() if v not in (None, "", {})}})


def encode_end(end: End) -> bytes:
    """Write the last line."""
    return _encode({"end": end.reason, "rows": end.rows, "sha256": end.sha256})


def decode_header(line: bytes) -> Header:
    """Read the first line. Raises BadLine, or NewerVersion for a format version of the future."""
    found = _decode(line)
    if found.get("format") != FORMAT_NAME:
        raise BadLine(f'"format" is not "{FORMAT_NAME}"')
    version = found.get("version")
    if not isinstance(version, int) or isinstance(version, bool) or version < 1:
        raise BadLine('"version" must be a whole number from 1')
    if version > FORMAT_VERSION:
        raise NewerVersion(f"it has format version {version}, and this program reads up to {FORMAT_VERSION}")
    return from_json(Header, found)


def decode_comment(line: bytes, row: int) -> Mark | End:
    """Read a line that starts with `#` and stands after `row` rows. Raises BadLine."""
    found = _decode(line)
    if "end" in found:
        return from_json(End, {**found, "reason": found["end"]})
    if "mark" in found:
        return from_json(Mark, {**found, "kind": found["mark"], "row": row})
    raise BadLine('it is neither a "mark" nor an "end"')


def from_json(cls: type[T], found: object, where: str = "") -> T:
    """Make a frozen value from a JSON object: unknown keys are ignored, missing optional ones defaulted.

    Raises BadLine that names the key which is missing or has the wrong type.
    """
    if not isinstance(found, dict):
        raise BadLine(f'"{where}" must be {TYPE_NAMES[dict]}')
    given: dict[str, Any] = {}
    for key, expected, required in _fields(cast("type[DataclassInstance]", cls)):
        path = f"{where}.{key}" if where else key
        if key in found:
            given[key] = _value(expected, found[key], path)
        elif required:
            raise BadLine(f'"{path}" is missing')
    return cls(**given)


@cache
def _fields(cls: type[DataclassInstance]) -> tuple[tuple[str, object, bool], ...]:
    """Name, type and whether it is required, for each field of a frozen value."""
    hints = get_type_hints(cls)
    return tuple(
        (f.name, hints[f.name], f.default is MISSING and f.default_factory is MISSING) for f in fields(cls)
    )


def _value(expected: object, found: object, path: str) -> object:
    if get_origin(expected) in (Union, UnionType):
        if found is None:
            return None
        expected = next(part for part in get_args(expected) if part is not NoneType)
    if is_dataclass(expected):
        return from_json(cast("type[object]", expected), found, path)
    wanted = cast("type[object]", get_origin(expected) or expected)
    if wanted is float and isinstance(found, int) and not isinstance(found, bool):
        return float(found)
    if type(found) is not wanted:
        raise BadLine(f'"{path}" must be {TYPE_NAMES[wanted]}, not {shown(json.dumps(found))}')
    return found


def _encode(content: dict[str, Any]) -> bytes:
    """One comment line. ASCII only, so that no encoding on its way can change it."""
    try:
        text = json.dumps(content, ensure_ascii=True, allow_nan=False)
    except ValueError as error:
        raise BadLine(f"a recording can't hold a number that is not finite: {_not_finite(content)}") from error
    return COMMENT + text.encode("ascii") + b"\n"


def _not_finite(content: object, path: str = "") -> str:
    """The path of the first number that is not finite, for the message."""
    if isinstance(content, dict):
        pairs: Iterable[tuple[object, object]] = content.items()
    elif isinstance(content, list | tuple):
        pairs = enumerate(content)
    else:
        return path if isinstance(content, float) and not math.isfinite(content) else ""
    return next((hit for key, part in pairs if (hit := _not_finite(part, f"{path}.{key}".strip(".")))), "")


def _decode(line: bytes) -> dict[str, Any]:
    if not line.startswith(COMMENT):
        raise BadLine("it does not start with “# ”")
    try:
        text = line[len(COMMENT) :].decode("utf-8")
    except UnicodeDecodeError as error:
        raise BadLine(f"it is not UTF-8 text, {SAVED_AGAIN}") from error
    try:
        found = json.loads(text, parse_constant=_refuse, parse_float=_finite, parse_int=_within_64_bits)
    except (ValueError, RecursionError) as error:
        raise BadLine("what follows “# ” can't be read as JSON") from error
    if not isinstance(found, dict):
        raise BadLine("what follows “# ” is not a JSON object")
    return found


def _refuse(text: str) -> float:
    raise ValueError(text)


def _finite(text: str) -> float:
    value = float(text)
    return value if math.isfinite(value) else _refuse(text)


def _within_64_bits(text: str) -> int:
    value = int(text)
    if not -INT_MAX - 1 <= value <= INT_MAX:
        raise ValueError(text)
    return value
