"""Values of a series as JSON objects: the same names, units in them; quantities as value and u, or the reason."""

from __future__ import annotations

from dataclasses import fields, is_dataclass
from typing import Any

from analysis.results import Measured, NotMeasured


def as_json(value: Any) -> Any:  # noqa: ANN401 - any value of this package, made of dataclasses
    """The JSON form of a dataclass of this package, its parts included."""
    if isinstance(value, Measured | NotMeasured):
        return value.to_json()
    if is_dataclass(value) and not isinstance(value, type):
        return {f.name: as_json(getattr(value, f.name)) for f in fields(value)}
    if isinstance(value, tuple | list):
        return [as_json(part) for part in value]
    return value
