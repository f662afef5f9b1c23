"""The health check on the simulated rig, whose true state is known; and the judgements on their own."""

from __future__ import annotations

import pytest

from rig.checkup import run_checkup
from rig.findings import Finding, Grade
from tests.links import Corrupting, Delayed, simulated


def check(fault: str = "", *, move: bool = True, **more: object) -> dict[str, Finding]:
    stretcher, link = simulated(fault=fault, **more)  # type: ignore[arg-type]
    with stretcher:
        stretcher.hold(1.0)
        found = run_checkup(stretcher, move=move)
    assert not link.moving
    for finding in found:
        assert finding.meaning.endswith(".")
        assert finding.grade is Grade.OK or finding.advice.endswith(".")
    named = {finding.name: finding for finding in found}
    assert len(named) == len(found)
    return named


def value(finding: Finding) -> float:
    assert finding.value is not None
    return finding.value


def test_healthy_rig() -> None:
    found = check()
    bad = {name: f for name, f in found.items() if f.grade in (Grade.BAD, Grade.NOTICE)}
    assert bad == {}
    assert value(found["rate"]) == pytest.approx(84.0, rel=0.03)
    assert abs(value(found["clock"])) < 300
    assert value(found["round trip"]) < 10
    assert abs(value(found["lost steps"])) <= 5
    assert found["near limit switch"].grade is Grade.OK
    assert found["far limit switch"].grade is Grade.NOT_DONE
    assert found["emergency stop"].grade is Grade.NOT_DONE


@pytest.mark.parametrize(
    ("fault", "name", "grade"),
    [
        ("noise@start+0", "noise", Grade.NOTICE),
        ("drift@start+0", "drift", Grade.NOTICE),
        ("freeze@start+0", "different readings", Grade.BAD),
        ("glitch@start+3", "wild readings", Grade.NOTICE),
        ("gap@start+3", "pauses", Grade.NOTICE),
        ("saturate@start+0", "rest level", Grade.BAD),
        ("line-noise@start+0", "damaged messages", Grade.BAD),
        ("dead-sensor@start+1", "readings", Grade.BAD),
        ("emergency-stop@start+3", "emergency stop", Grade.OK),
        ("limit-switch@start+3", "far limit switch", Grade.OK),
    ],
)
def test_fault_is_found(fault: str, name: str, grade: Grade) -> None:
    assert check(fault, move=False)[name].grade is grade


@pytest.mark.parametrize("ppm", [-12_000.0, 3000.0, 12_000.0])
def test_clock_of_the_board(ppm: float) -> None:
    found = check(move=False, clock_ppm=ppm)["clock"]
    assert value(found) == pytest.approx(ppm, abs=400)
    assert found.grade is (Grade.OK if abs(ppm) < 5000 else Grade.NOTICE)


def test_lost_steps_are_counted() -> None:
    """400 steps are lost on the way: the switch comes half a millimetre from where the counter has it."""
    found = check("lost-steps@start+10.4")["lost steps"]
    assert abs(value(found)) == pytest.approx(400, abs=10)
    assert found.grade is Grade.BAD


def test_nothing_moves_after_the_emergency_stop_was_pressed() -> None:
    stretcher, link = simulated(fault="emergency-stop@start+3")
    with stretcher:
        stretcher.hold(1.0)
        found = {f.name: f for f in run_checkup(stretcher, move=True)}
    assert found["emergency stop"].grade is Grade.OK
    assert found["lost steps"].grade is Grade.NOT_DONE
    assert "emergency stop" in found["lost steps"].meaning
    assert link.ran_s < 0.0


def test_nothing_moves_unless_allowed() -> None:
    stretcher, link = simulated()
    with stretcher:
        run_checkup(stretcher, move=False)
    assert link.ran_s < 0.0


def test_slow_adapter() -> None:
    found = check(move=False, wrap=lambda link: Delayed(link, 0.15))["round trip"]
    assert value(found) == pytest.approx(152, abs=10)
    assert found.grade is Grade.BAD


def test_losses() -> None:
    found = check(move=False, wrap=lambda link: Corrupting(link, 0.002))["lost readings"]
    assert value(found) > 0
    assert found.grade is not Grade.OK
