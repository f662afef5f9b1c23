"""What a person says when a series is set up: the questions, what is wrong with an answer, and the plan they make.

A file that sets a series up has the same names and goes through the same checks. Knows no screens.
"""

from __future__ import annotations

import tomllib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import cast

from tui import wording
from tui import wording_lab as words
from tui.lab.air import POSSIBLE_C, POSSIBLE_PCT
from tui.lab.plan import MOST_STRANDS, Air, Condition, Group, Kind, Plan
from tui.safe_text import clean
from tui.strand_form import gauge_length_problem, number

#: Longest name of a series, group, zone or person's code [characters]; most groups and zones of a series.
LONGEST, MOST_GROUPS, MOST_ZONES = 40, 8, 12
#: Largest file that sets a series up [bytes].
LARGEST_FILE = 64 * 1024

Answers = Mapping[str, str]


class BadSetUp(Exception):
    """A file that sets up no series; the message says what to change."""


@dataclass(frozen=True, slots=True)
class Question:
    """One question of the set-up: asked with a line to type into, or with a choice where there are `options`."""

    key: str
    question: str
    label: str
    hint: str
    first: str = ""
    check: Callable[[str], str] = field(default=lambda _: "")
    options: tuple[str, ...] = ()


def parts_of(text: str) -> tuple[str, ...]:
    """The names in a text, separated by commas, each once."""
    parts = (clean(part, LONGEST + 1) for part in text.split(","))
    return tuple(dict.fromkeys(part for part in parts if part))


def name_problem(text: str) -> str:
    """What is wrong with the name of a series."""
    if not clean(text):
        return words.NAME_EMPTY
    return words.TOO_LONG.format(longest=LONGEST) if len(text) > LONGEST else ""


def _list_problem(most: int, empty: str) -> Callable[[str], str]:
    def problem(text: str) -> str:
        parts = parts_of(text)
        if not parts:
            return empty
        if len(parts) > most:
            return words.TOO_MANY_NAMES.format(most=most)
        return words.TOO_LONG.format(longest=LONGEST) if any(len(part) > LONGEST for part in parts) else ""

    return problem


def strands_problem(text: str) -> str:
    """What is wrong with a number of strands."""
    count = number(text)
    if count is None or count != int(count) or not 1 <= count <= MOST_STRANDS:
        return words.STRANDS_WANTED.format(most=MOST_STRANDS)
    return ""


def _number_problem(limits: tuple[float, float], example: str, unit: str) -> Callable[[str], str]:
    def problem(text: str) -> str:
        if not text.strip():
            return ""
        value = number(text)
        if value is None:
            return wording.NUMBER_WANTED.format(example=example)
        low, high = limits
        return "" if low <= value <= high else words.NOT_POSSIBLE.format(low=low, high=high, unit=unit)

    return problem


def operator_problem(text: str) -> str:
    """What is wrong with a person's code."""
    return words.TOO_LONG.format(longest=LONGEST) if len(text) > LONGEST else ""


temperature_problem = _number_problem(POSSIBLE_C, "20.5", "°C")
humidity_problem = _number_problem(POSSIBLE_PCT, "64", "%")

#: Speeds that can be asked for [mm/min]; what the rig can do is checked when it pulls.
SPEEDS = (0.1, 5000.0)

TEMPERATURE = Question("temperature_c", words.TEMPERATURE_QUESTION, words.TEMPERATURE_LABEL, words.TEMPERATURE_HINT,
                       check=temperature_problem)  # fmt: skip
HUMIDITY = Question("humidity_pct", words.HUMIDITY_QUESTION, words.HUMIDITY_LABEL, words.HUMIDITY_HINT,
                    check=humidity_problem)  # fmt: skip

QUESTIONS: Sequence[Question] = (
    Question("name", words.NAME_QUESTION, words.NAME_LABEL, words.NAME_HINT, check=name_problem),
    Question("groups", words.GROUPS_QUESTION, words.GROUPS_LABEL, words.GROUPS_HINT,
             check=_list_problem(MOST_GROUPS, words.GROUPS_EMPTY)),
    Question("condition", words.CONDITION_QUESTION, wording.STRAND_CONDITION, words.CONDITION_HINT, "dry",
             options=tuple(words.CONDITIONS)),
    Question("zones", words.ZONES_QUESTION, words.ZONES_LABEL, words.ZONES_HINT,
             ", ".join(wording.STRAND_ZONES[1:]), _list_problem(MOST_ZONES, words.ZONES_EMPTY)),
    Question("strands", words.STRANDS_QUESTION, words.STRANDS_LABEL, words.STRANDS_HINT, "5", strands_problem),
    Question("gauge_length_mm", words.GAUGE_QUESTION, wording.STRAND_GAUGE, wording.STRAND_GAUGE_HINT, "30",
             gauge_length_problem),
    Question("kind", words.KIND_QUESTION, words.KIND_LABEL, words.KIND_HINT, words.KINDS["pull_to_break"],
             options=tuple(words.KINDS.values())),
    Question("speed_mm_min", words.SPEED_QUESTION, words.SPEED_LABEL, words.SPEED_HINT,
             check=_number_problem(SPEEDS, "18", "mm/min")),
    TEMPERATURE,
    HUMIDITY,
    Question("operator", words.OPERATOR_QUESTION, words.OPERATOR_LABEL, words.OPERATOR_HINT,
             check=operator_problem),
)  # fmt: skip


def plan_of(answers: Answers, begun: datetime) -> Plan:
    """The series of answers that were found to be right."""
    conditions = words.CONDITIONS[answers["condition"]]
    kinds = {shown: kind for kind, shown in words.KINDS.items()}
    gauge_length_mm = number(answers["gauge_length_mm"])
    assert gauge_length_mm is not None
    return Plan(
        name=clean(answers["name"], LONGEST),
        begun=begun,
        groups=tuple(
            Group(history, cast(Condition, condition))
            for history in parts_of(answers["groups"])
            for condition in conditions
        ),
        zones=parts_of(answers["zones"]),
        strands=int(number(answers["strands"]) or 1),
        gauge_length_mm=gauge_length_mm,
        kind=cast(Kind, kinds[answers["kind"]]),
        speed_mm_min=number(answers["speed_mm_min"]),
        air=air_of(answers),
        operator=clean(answers["operator"], LONGEST),
    )


def air_of(answers: Answers) -> Air:
    """The readings at the bench."""
    return Air(number(answers[TEMPERATURE.key]), number(answers[HUMIDITY.key]))


def answers_in(path: Path) -> dict[str, str]:
    """The answers in a small TOML file. Raises BadSetUp that names what to change, or OSError."""
    with path.open("rb") as file:
        data = file.read(LARGEST_FILE + 1)
    if len(data) > LARGEST_FILE:
        raise BadSetUp(words.FILE_TOO_LARGE.format(name=clean(path.name)))
    try:
        found = tomllib.loads(data.decode("utf-8"))
    except (ValueError, RecursionError) as problem:
        raise BadSetUp(words.FILE_NOT_TOML.format(name=clean(path.name), why=clean(str(problem)))) from problem
    known = {question.key: question for question in QUESTIONS}
    unknown = sorted(set(found) - set(known))
    if unknown:
        raise BadSetUp(words.FILE_UNKNOWN.format(key=clean(unknown[0]), known=", ".join(known)))
    return {key: _answer(question, found.get(key)) for key, question in known.items()}


def _answer(question: Question, value: object) -> str:
    """One answer as it would have been typed. Raises BadSetUp."""
    if isinstance(value, list):
        value = ", ".join(map(str, value))
    text = question.first if value is None else clean(str(value), 20 * LONGEST)
    if question.key == "kind":
        text = words.KINDS.get(text, text)
    problem = question.check(text)
    if question.options and text not in question.options:
        names = words.KINDS if question.key == "kind" else question.options
        problem = words.FILE_CHOICE.format(options=", ".join(names))
    if problem:
        raise BadSetUp(words.FILE_WRONG.format(key=question.key, value=clean(text), problem=problem))
    return text
