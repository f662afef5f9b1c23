"""What a simulated rig can be told, and what its host is told of it."""

from __future__ import annotations

import json
from typing import Any

import pytest

from firmware_protocol.messages import Identify, Pull
from firmware_protocol.vocabulary import PROTOCOL_VERSION, Result
from recordings.format import JsonValue
from rig.calibration_store import nominal_extension, nominal_force
from rig.facts import facts_of
from rig.model_truth import COMPLIANCE_MM_PER_N
from rig.simulated.amplifier import COUNTS_PER_N
from rig.simulated.catalogue import KINDS
from rig.simulated.faults import fault
from rig.simulated.settings import SimulationSettings
from tests.rig.simulated.desk import FORCE_LIMIT, Desk


@pytest.mark.parametrize(
    "wrong",
    [
        {"gauge_length_mm": 0.0},
        {"gauge_length_mm": 3e6},
        {"gauge_length_mm": float("nan")},
        {"humidity_pct": 120.0},
        {"rate_hz": 0.0},
        {"time_scale": 0.0},
        {"time_scale": float("inf")},
        {"slack_mm": -50.0},
        {"clock_ppm": 1e6},
    ],
)
def test_numbers_out_of_the_model_s_range_are_refused_in_a_sentence(wrong: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match=r"^the simulated .* must be from .* to .*, not"):
        SimulationSettings(**wrong)


def test_the_header_s_part_is_json_and_names_everything_that_shaped_the_pull() -> None:
    settings = SimulationSettings(strand="wet", seed=9, faults=(fault("glitch", 2.0),), time_scale=10.0)
    said: dict[str, JsonValue] = settings.to_header()
    assert json.loads(json.dumps(said)) == said
    assert said["strand"] == "wet"
    assert said["seed"] == 9
    assert said["faults"] == ["glitch@2"]


def test_a_host_gets_the_simulated_calibration_from_identity_alone() -> None:
    facts = facts_of(Desk().ask(Identify(0, PROTOCOL_VERSION)))
    force, extension = nominal_force(facts), nominal_extension(facts)
    assert force.kind == extension.kind == "simulated"
    assert force.n_per_count * COUNTS_PER_N == pytest.approx(1.0, rel=1e-12)
    assert extension.mm_per_step == pytest.approx(1.0 / 800.0, rel=1e-12)
    assert extension.compliance_mm_per_n == COMPLIANCE_MM_PER_N
    assert force.u_rel > 0.0
    assert extension.u_compliance_mm_per_n > 0.0


@pytest.mark.parametrize("name", KINDS)
def test_every_strand_of_the_catalogue_can_be_pulled(name: str) -> None:
    desk = Desk(name, slack_mm=0.2)
    desk.prepare()
    assert desk.result(Pull(0, 24_000, 2_400_000, FORCE_LIMIT, 50_000)) is Result.OK
    desk.wait_to_stand()
    (truth,) = desk.board.truths
    assert truth.parts[0].kind == name
    assert (truth.force_max_n > 0.05) == (name != "hook")
    assert KINDS[name].doc
