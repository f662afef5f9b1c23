"""The guideline a pull is held against: a lower limit for the elongation at break, and how sure one must be.

Owns the guideline file. Must not know how an elongation is found.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

#: The guideline that holds where nobody gave another.
DEFAULT_FILE = Path(__file__).with_name("guideline.toml")


@dataclass(frozen=True, slots=True)
class Guideline:
    """Lower limit for the elongation at break [%]; `confidence` is how sure "meets" and "below" must be."""

    lower_limit_pct: float = 20.0
    confidence: float = 0.95
    name: str = "trade stretch guideline"
    source: str = "common practice, no source"


class BadGuideline(ValueError):
    """The guideline file can't be used; the message says what to change."""


def load_guideline(path: Path | None = None) -> Guideline:
    """Read a guideline file; without a path the one that comes with the program.

    Raises
    ------
    BadGuideline
        Where the file is missing, is not TOML, or holds a limit or a confidence that can't be.
    """
    import tomllib

    file = path or DEFAULT_FILE
    try:
        values = tomllib.loads(file.read_text(encoding="utf-8"))
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as fault:
        raise BadGuideline(f"the guideline file {file.name} can't be read ({fault}); give another file") from fault
    return _checked(
        Guideline(
            lower_limit_pct=_number(values, "lower_limit_pct", Guideline().lower_limit_pct),
            confidence=_number(values, "confidence", Guideline().confidence),
            name=str(values.get("name", "unnamed guideline")),
            source=str(values.get("source", "no source given")),
        )
    )


def _number(values: dict[str, object], key: str, default: float) -> float:
    value = values.get(key, default)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise BadGuideline(f"{key} in the guideline file must be a number, not {value!r}")
    return float(value)


def _checked(guideline: Guideline) -> Guideline:
    if not 0.0 < guideline.lower_limit_pct < 1000.0:
        raise BadGuideline("lower_limit_pct in the guideline file must be between 0 and 1000 % of the gauge length")
    if not 0.5 < guideline.confidence < 1.0:
        raise BadGuideline("confidence in the guideline file must be between 0.5 and 1, for example 0.95")
    return guideline
