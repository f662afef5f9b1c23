"""The air at the bench against the standard atmosphere of ISO 139:2005, 3.1: 20.0 °C ± 2.0 °C, 65.0 % ± 4.0 %."""

from __future__ import annotations

import pytest

from tui.lab.air import air_problem, air_text
from tui.lab.plan import Air


@pytest.mark.parametrize(("celsius", "percent"), [(20.0, 65.0), (18.0, 61.0), (22.0, 69.0), (18.0, 69.0)])
def test_the_limits_themselves_are_within(celsius: float, percent: float) -> None:
    assert air_problem(Air(celsius, percent)) == ""


@pytest.mark.parametrize(
    ("air", "said", "not_said"),
    [
        (Air(17.9, 65.0), "17.9 °C", "humidity"),
        (Air(22.1, 65.0), "22.1 °C", "humidity"),
        (Air(20.0, 60.9), "60.9 %", "°C"),
        (Air(20.0, 69.1), "69.1 %", "°C"),
        (Air(30.0, 20.0), "30 °C (20 °C ± 2 °C) and 20 % relative humidity", "read"),
        (Air(None, 65.0), "the temperature", "humidity"),
        (Air(20.0, None), "the humidity", "temperature"),
        (Air(), "the temperature and the humidity", "Outside"),
    ],
)
def test_what_is_outside_or_missing_is_named(air: Air, said: str, not_said: str) -> None:
    assert said in air_problem(air)
    assert not_said not in air_problem(air)


def test_the_readings_in_words() -> None:
    assert air_text(Air(20.5, 64.0)) == "20.5 °C, 64 % relative humidity"
    assert air_text(Air()) == ""
