"""Counts and steps become newtons and millimetres by the header's calibration, and what that lacks is said."""

from __future__ import annotations

from array import array
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from analysis.from_recording import trace_from_recording
from analysis.trace import Trace
from recordings.format import (
    End,
    ExtensionCalibration,
    ForceCalibration,
    Header,
    JsonValue,
    Mark,
    Method,
    Recording,
    RigInfo,
    Rows,
    Specimen,
)

FORCE = ForceCalibration(1e-6, kind="weights", date="2026-11-01", due="2026-12-01")
EXTENSION = ExtensionCalibration(6.25e-4, kind="gauge", due="2026-12-01")
HEADER = Header(
    recorded_at="2026-11-25T10:00:00+01:00",
    simulated=False,
    software="0.1.0",
    rig=RigInfo("bench", sensor_bits=24),
    specimen=Specimen(30.0, reference="K-07"),
    method=Method(),
    force_calibration=FORCE,
    extension_calibration=EXTENSION,
)
ZEROED = Mark("zeroed", 0, data={"counts": 8000.5, "n": 100, "sd_counts": 50.0})


def recording(
    rows: Sequence[Sequence[int]] = ((1_000_000, 8000, 160, 1), (1_012_500, 1_008_000, 320, 1)),
    marks: tuple[Mark, ...] = (ZEROED,),
    header: Header = HEADER,
    end: End | None = None,
) -> Recording:
    columns = [array("q", [row[i] for row in rows]) for i in range(4)]
    return Recording("a.pull.csv", header, Rows(*columns), marks, end)


def codes(trace: Trace) -> list[str]:
    return [code for code, _ in trace.notes]


def test_units() -> None:
    trace = trace_from_recording(recording())
    assert trace.time_s == pytest.approx([0.0, 0.0125])
    assert trace.force_n == pytest.approx([-0.5e-6, 0.9999995])
    assert trace.extension_mm == pytest.approx([0.0, 0.1])
    assert trace.counts is not None
    assert trace.counts.tolist() == [8000, 1_008_000]
    assert trace.full_scale_counts == 2**23 - 1
    assert (trace.force_resolution_n, trace.extension_resolution_mm) == (1e-6, 6.25e-4)
    assert trace.u_zero_n == pytest.approx(5e-6)
    assert (trace.date, trace.notes) == ("2026-11-25", ())


def test_force_is_quadratic_in_the_counts_from_zero_and_may_be_reversed() -> None:
    scale = replace(FORCE, n_per_count=-2e-6, n_per_count2=3e-14)
    trace = trace_from_recording(recording(header=replace(HEADER, force_calibration=scale)))
    x = 1_008_000 - 8000.5
    assert trace.force_n is not None
    assert trace.force_n[1] == pytest.approx(-2e-6 * x + 3e-14 * x * x, rel=1e-12)
    assert trace.force_resolution_n == 2e-6
    assert trace.u_zero_n == pytest.approx(1e-5)


def test_without_a_zero_force_counts_from_the_first_sample_and_says_so() -> None:
    trace = trace_from_recording(recording(marks=()))
    assert trace.force_n == pytest.approx([0.0, 1.0])
    assert trace.u_zero_n is None


def test_a_board_that_prints_force_keeps_its_own_zero() -> None:
    header = replace(HEADER, force_calibration=ForceCalibration(0.001, kind="printed"))
    trace = trace_from_recording(recording(marks=(), header=header))
    assert trace.force_n == pytest.approx([8.0, 1008.0])
    assert trace.u_zero_n is None


def test_the_zero_is_the_last_one_before_the_start() -> None:
    first, second, late = (Mark("zeroed", row, data={"counts": counts}) for row, counts in ((0, 1), (1, 2), (2, 3)))
    marks = (first, second, Mark("started", 1), late)
    trace = trace_from_recording(recording(marks=marks))
    assert trace.force_n is not None
    assert trace.force_n[0] == pytest.approx(7998e-6)
    assert trace.u_zero_n is None


@pytest.mark.parametrize(
    "data",
    [
        {},
        {"counts": None},
        {"counts": "8000"},
        {"counts": True},
        {"counts": [1]},
    ],
)
def test_a_zero_that_is_no_number_is_no_zero(data: dict[str, JsonValue]) -> None:
    trace = trace_from_recording(recording(marks=(Mark("zeroed", 0, data=data),)))
    assert trace.u_zero_n is None
    assert trace.force_n == pytest.approx([0.0, 1.0])


@pytest.mark.parametrize(("n", "sd"), [(0, 1.0), (-4, 1.0), (None, 1.0), (4, None), (4, -1.0), ("4", "1")])
def test_a_zero_of_unknown_scatter_has_no_uncertainty(n: JsonValue, sd: JsonValue) -> None:
    mark = Mark("zeroed", 0, data={"counts": 8000, "n": n, "sd_counts": sd})
    assert trace_from_recording(recording(marks=(mark,))).u_zero_n is None


def test_no_calibration_no_quantity() -> None:
    header = replace(HEADER, force_calibration=None, extension_calibration=None)
    trace = trace_from_recording(recording(header=header))
    assert trace.force_n is None
    assert trace.extension_mm is None
    assert trace.u_zero_n is None
    assert trace.counts is not None
    assert codes(trace) == ["uncalibrated", "uncalibrated"]
    assert "no force" in trace.notes[0][1]


@pytest.mark.parametrize("scale", [0.0, 1e300])
def test_a_calibration_that_makes_no_numbers_is_none(scale: float) -> None:
    header = replace(
        HEADER,
        force_calibration=ForceCalibration(scale, kind="weights"),
        extension_calibration=ExtensionCalibration(scale, kind="gauge"),
    )
    trace = trace_from_recording(recording(header=header))
    assert trace.force_n is None
    assert trace.extension_mm is None
    assert codes(trace) == ["uncalibrated", "uncalibrated"]


def test_the_boards_own_claim_is_uncalibrated_but_measured() -> None:
    header = replace(HEADER, force_calibration=ForceCalibration(1e-6))
    trace = trace_from_recording(recording(header=header))
    assert trace.force_n is not None
    assert trace.notes == (("uncalibrated", "The force scale is the board's own claim: calibrate the rig."),)


@pytest.mark.parametrize(
    ("due", "expected"),
    [
        ("", []),
        ("2026-11-25", []),
        ("2026-11-24", ["calibration_overdue"]),
        ("2026-11-24T23:59:59", ["calibration_overdue"]),
        ("next spring", ["calibration_overdue"]),
    ],
)
def test_an_overdue_calibration_is_noted(due: str, expected: list[str]) -> None:
    header = replace(HEADER, force_calibration=replace(FORCE, due=due))
    assert codes(trace_from_recording(recording(header=header))) == expected
    header = replace(HEADER, extension_calibration=replace(EXTENSION, due=due))
    assert codes(trace_from_recording(recording(header=header))) == expected


def test_gaps_are_counted() -> None:
    marks = (ZEROED, *(Mark("gap", row, data={"lost": row}) for row in (1, 2, 2, 2)))
    assert trace_from_recording(recording(marks=marks)).notes == (
        ("gap", "7 samples are missing in 4 places, after row 1, 2, 2 …."),
    )
    assert trace_from_recording(recording(marks=marks[:2])).notes == (
        ("gap", "1 sample is missing in one place, after row 1."),
    )


def test_incomplete_and_altered() -> None:
    assert not trace_from_recording(recording()).complete
    whole = recording(end=End("break", 2, "0" * 64))
    assert trace_from_recording(whole).complete
    assert trace_from_recording(whole).end_reason == "break"
    altered = trace_from_recording(replace(whole, altered=True))
    assert not altered.complete
    assert codes(altered) == ["altered"]


def test_no_rows_make_empty_arrays() -> None:
    trace = trace_from_recording(recording(rows=()))
    for column in (trace.time_s, trace.force_n, trace.extension_mm, trace.counts, trace.flags):
        assert column is not None
        assert len(column) == 0


@given(st.lists(st.tuples(*[st.integers(-(2**63), 2**63 - 1)] * 4), max_size=5), st.booleans())
def test_any_whole_numbers_stay_finite(rows: list[tuple[int, ...]], zeroed: bool) -> None:
    trace = trace_from_recording(recording(rows, (ZEROED,) if zeroed else ()))
    for column in (trace.time_s, trace.force_n, trace.extension_mm):
        assert column is not None
        assert np.all(np.isfinite(column))
        assert len(column) == len(rows)
