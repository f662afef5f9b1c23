"""`strandbench checkup` on a simulated rig: a sound one passes, a faulty one says what to do."""

from __future__ import annotations

import json

import pytest

from rig.simulated.faults import parse_fault
from rig.simulated.server import serve
from rig.simulated.settings import SimulationSettings
from tests.tui.command_line import Cli

#: As short as it may be [s].
SHORT = ("--listen-s", "1")


def test_a_sound_rig_passes_and_says_what_was_not_checked(cli: Cli) -> None:
    with serve(SimulationSettings()) as server:
        said = cli("checkup", "--port", server.url, "--still", "--json", *SHORT)
    assert said.status == 0
    findings = {f["name"]: f for f in json.loads(said.out)}
    # the simulated amplifier really delivers 84.3 readings/s where its board promises 80
    assert findings["rate"]["value"] == pytest.approx(84.3, rel=0.03)
    assert findings["lost steps"]["grade"] == "not checked"
    assert findings["emergency stop"]["grade"] == "not checked"
    assert all(f["meaning"] for f in findings.values())


def test_a_frozen_channel_is_bad_and_says_what_to_do(cli: Cli) -> None:
    with serve(SimulationSettings(faults=(parse_fault("freeze@start+0"),))) as server:
        said = cli("checkup", "--port", server.url, "--still", "--listen-s", "3")
    assert said.status == 1
    assert "✘" in said.out
    assert "different readings" in said.out


def test_no_rig_is_one_sentence(cli: Cli) -> None:
    said = cli("checkup", "--port", "tcp://127.0.0.1:9", "--still")
    assert said.status == 1
    assert "Nothing listens at tcp://127.0.0.1:9" in said.err
