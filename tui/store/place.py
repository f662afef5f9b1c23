"""Where kept values live, and how one looks in a file: JSON with its version beside it. Knows no single value."""

from __future__ import annotations

import json
import os
import re
from pathlib import Path
from typing import NoReturn, TypeVar

from tui import wording_store as wording
from tui.safe_text import clean
from tui.store.typed import Misfit, from_plain, to_plain

T = TypeVar("T")

#: Environment variable that names another folder than the platform's own.
HOME = "STRANDBENCH_HOME"

#: What a name of a kept value may look like: it is part of a file's name.
NAME = re.compile(r"[a-z0-9]+(-[a-z0-9]+)*")

#: Version of a class that does not say one; a class says another by `VERSION`.
FIRST_VERSION = 1


class StoreProblem(Exception):
    """A value cannot be kept or fetched, and the file was left as it is; the message says what to do."""


def home() -> Path:
    """The folder for it all: the platform's place for a program's data, or what STRANDBENCH_HOME says."""
    told = os.environ.get(HOME)
    if told:
        return Path(told)
    from platformdirs import user_data_path

    return user_data_path("strandbench", appauthor=False)


def path_of(name: str, ending: str) -> Path:
    """The file of a kept value. Raises ValueError for a name that is none."""
    if not NAME.fullmatch(name):
        raise ValueError(f"{name!r} is no name for a kept value")
    return home() / f"{name}{ending}"


def packed(value: object, *, indent: int | None = None) -> bytes:
    """A value as it stands in a file."""
    plain = {"version": version_of(type(value)), "value": to_plain(value)}
    text = json.dumps(plain, ensure_ascii=False, indent=indent, allow_nan=False)
    return text.encode(errors="backslashreplace")  # half a surrogate pair becomes JSON's own escape for it


def unpacked(cls: type[T], data: bytes, path: Path) -> T:
    """The value in a file's bytes. Raises Misfit; StoreProblem where it is from a newer program."""
    whole = parsed(data)
    version = whole.get("version")
    if not isinstance(version, int) or "value" not in whole:
        raise Misfit(wording.NOT_OURS)
    if version > version_of(cls):
        raise StoreProblem(wording.NEWER.format(path=clean(str(path))))
    return from_plain(cls, whole["value"])


def version_of(cls: type) -> int:
    """The version that a class's values are written with."""
    return int(getattr(cls, "VERSION", FIRST_VERSION))


def parsed(data: bytes) -> dict[str, object]:
    """The JSON object in some bytes. Raises Misfit."""
    try:
        plain = json.loads(data.decode("utf-8"), parse_constant=_no_constant)
    except (ValueError, RecursionError) as problem:
        raise Misfit(wording.NOT_JSON) from problem
    if not isinstance(plain, dict):
        raise Misfit(wording.NOT_OURS)
    return plain


def _no_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is no JSON number")


def cannot(sentence: str, path: Path, problem: OSError) -> StoreProblem:
    """What the operating system refused, as a sentence to raise."""
    why = (problem.strerror or str(problem)).lower()
    return StoreProblem(sentence.format(path=clean(str(path)), why=why))
