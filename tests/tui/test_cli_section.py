"""Cross-section and corrected calibrations by command: `thickness`, and their options in `pull` and `analyse`."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import Any

import pytest

from recordings.format import ExtensionCalibration, ForceCalibration
from recordings.reader import read_recording
from rig.calibration_store import store, store_as
from rig.simulated.amplifier import COUNTS_PER_N
from tests.tui.command_line import Cli, assert_one_sentence
from tests.tui.rigs import simulated

BOARD = 0x5B000001
PULL = ("--gauge-length-mm", "30", "--yes", "--json")


def thickness(cli: Cli, *options: str) -> dict[str, Any]:
    said = cli("thickness", "--json", *options)
    assert said.status == 0, said.err
    found: dict[str, Any] = json.loads(said.out)
    return found


# --- thickness -----------------------------------------------------------------------------------------------


def test_an_ellipse_at_several_places(cli: Cli) -> None:
    # Area of an ellipse: pi a b / 4. 91.19 by 70.69 um is 5063 um2 (a hair-science handbook, table 3, p. 204).
    assert thickness(cli, "--axes-um", "91.19x70.69")["area_um2"]["value"] == pytest.approx(5062.8, abs=0.1)
    two = thickness(cli, "--axes-um", "80x60,88x66")["area_um2"]
    assert two["value"] == pytest.approx(math.pi / 8 * (80 * 60 + 88 * 66))


def test_one_reading_is_worth_little_and_says_what_would_be_better(cli: Cli) -> None:
    found = thickness(cli, "--diameter-um", "70")
    area = found["area_um2"]
    assert area["value"] == pytest.approx(math.pi * 70**2 / 4)
    # ellipses of ratio 1.2 to 1.9: the middle, 1.55, rectangular, and 3 % of the reading
    assert area["u"] / area["value"] == pytest.approx(math.hypot((1.55 - 1 / 1.55) / 2 / math.sqrt(3), 0.06))
    assert "--axes-um" in found["advice"]
    stated = thickness(cli, "--diameter-um", "70", "--u-diameter-um", "0.7")["area_um2"]
    assert stated["u"] / stated["value"] == pytest.approx(0.02)


def test_fringes_between_two_and_from_the_centre_are_told_apart(cli: Cli) -> None:
    # A public lab page on measuring a hair with a laser: 680 nm, 1 m, 4th fringe at 4.8 cm, 56.7 um.
    from_centre = ("--wavelength-nm", "680", "--screen-mm", "1000", "--fringe-order", "4", "--fringe-mm", "48")
    found = thickness(cli, *from_centre)["equivalent_diameter_um"]["value"]
    assert found == pytest.approx(56.732, abs=1e-3)
    between = (*from_centre[:-2], "--fringe-full-mm", "96")
    assert thickness(cli, *between)["equivalent_diameter_um"]["value"] == pytest.approx(found)


def test_mass_and_length_give_area_and_linear_density(cli: Cli) -> None:
    # A[um2] = 1000 T/rho: 0.151244 mg of 30 mm at 1.31 g/cm3 is 5.0415 tex and a 70 um strand
    found = thickness(cli, "--mass-mg", "1.51244", "--length-mm", "300", "--density", "1.31")
    assert found["linear_density_tex"]["value"] == pytest.approx(5.0415, rel=1e-4)
    assert found["equivalent_diameter_um"]["value"] == pytest.approx(70.0, abs=0.01)
    u = math.hypot(0.01 / 1.51244, 0.5 / 300)
    assert found["linear_density_tex"]["u"] / found["linear_density_tex"]["value"] == pytest.approx(u)
    both = thickness(cli, "--mass-mg", "1.5", "--length-mm", "300", "--axes-um", "80x60")
    assert both["area_um2"]["value"] == pytest.approx(math.pi * 1200)
    assert both["linear_density_tex"]["value"] == pytest.approx(5.0)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ((), "Nothing was measured"),
        (("--diameter-um", "7000"), "is not a strand of hair's"),
        (("--diameter-um", "7"), "is not a strand of hair's"),
        (("--diameter-um", "nan"), "must be a number"),
        (("--diameter-um", "70", "--u-diameter-um", "50"), "less than half"),
        (("--fringe-mm", "0", "--screen-mm", "1000"), "greater than zero"),
        (("--fringe-mm=-5", "--screen-mm", "1000"), "greater than zero"),
        (("--fringe-mm", "10"), "--screen-mm"),
        (("--fringe-mm", "10", "--fringe-full-mm", "20", "--screen-mm", "1000"), "in one way"),
        (("--screen-mm", "1000"), "alone says nothing"),
        (("--u-diameter-um", "1"), "alone says nothing"),
        (("--axes-um", "88"), "such as 88x64"),
        (("--axes-um", "88x64x2"), "such as 88x64"),
        (("--axes-um", "88x"), "must be a number"),
        (("--axes-um", "88x64", "--u-reading-um", "0"), "never exact"),
        (("--axes-um", "8800x64"), "is not a strand of hair's"),
        (("--mass-mg", "0", "--length-mm", "30"), "greater than zero"),
        (("--mass-mg", "0.01", "--length-mm", "30"), "says too little"),
        (("--mass-mg", "1"), "needs both"),
        (("--length-mm", "30"), "needs both"),
    ],
)
def test_what_can_not_be_a_strand(cli: Cli, options: tuple[str, ...], words: str) -> None:
    assert words in assert_one_sentence(cli("thickness", *options))


# --- in a pull, and corrected afterwards --------------------------------------------------------------------


def pulled(cli: Cli, tmp_path: Path, *options: str) -> tuple[Path, dict[str, Any]]:
    with simulated("over-processed") as address:
        said = cli("pull", "--port", address, *PULL, *options, "--out", tmp_path)
    assert said.status == 0, said.err
    result: dict[str, Any] = json.loads(said.out)
    return Path(result["recording"]), result


def test_a_pull_records_area_and_linear_density_and_gives_tenacity(cli: Cli, tmp_path: Path) -> None:
    weighed = ("--axes-um", "88x64,90x62", "--mass-mg", "1.5", "--length-mm", "300")
    path, result = pulled(cli, tmp_path, *weighed)
    specimen = read_recording(path).header.specimen
    area = math.pi / 8 * (88 * 64 + 90 * 62)
    assert specimen.area_um2 == pytest.approx(area)
    assert specimen.u_area_um2 is not None
    assert specimen.area_method == "ellipse from two axes at 2 places"
    assert (specimen.linear_density_tex, specimen.diameter_um) == (5.0, None)
    assert specimen.u_linear_density_tex == pytest.approx(5 * math.hypot(0.01 / 1.5, 0.5 / 300))
    force = result["force_at_break_n"]["value"]
    assert result["stress_at_break_mpa"]["value"] == pytest.approx(force / area * 1e6)
    assert result["tenacity_cn_per_tex"]["value"] == pytest.approx(100 * force / 5.0)
    assert "tenacity at break" in cli("analyse", path).out


def test_what_was_measured_later_goes_before_the_recording(cli: Cli, tmp_path: Path) -> None:
    path, before = pulled(cli, tmp_path, "--diameter-um", "70")
    after = json.loads(cli("analyse", "--json", path, "--axes-um", "80x60").out)
    stress, force = after["stress_at_break_mpa"]["value"], after["force_at_break_n"]["value"]
    assert stress == pytest.approx(force / (math.pi * 1200) * 1e6)
    assert after["stress_at_break_mpa"]["u"] < before["stress_at_break_mpa"]["u"] / 5
    assert "tenacity_cn_per_tex" not in after


def test_a_corrected_calibration_moves_the_result_and_is_told(cli: Cli, tmp_path: Path) -> None:
    path, before = pulled(cli, tmp_path)
    better = ForceCalibration(
        1.1 / COUNTS_PER_N, u_rel=1e-3, kind="weights", date="2026-11-20", identifier="force-x"
    )
    file = store_as(tmp_path / "better.json", better, BOARD, {})
    stored = path.read_bytes()
    after = json.loads(cli("analyse", "--json", path, "--force-calibration", file).out)
    assert path.read_bytes() == stored
    ratio = after["force_max_n"]["value"] / before["force_max_n"]["value"]
    assert ratio == pytest.approx(1.1, rel=1e-3)
    (flag,) = [f for f in after["flags"] if f["code"] == "recalibrated"]
    assert "calibration of 2026-11-20 (force-x)" in flag["message"]
    assert "simulated rig's own scale" in flag["message"]
    assert "recalibrated" not in [f["code"] for f in before["flags"]]
    assert "calibration of 2026-11-20" in " ".join(cli("analyse", path, "--force-calibration", file).out.split())


def test_a_calibration_of_the_extension_moves_the_stretch(cli: Cli, tmp_path: Path) -> None:
    path, before = pulled(cli, tmp_path)
    finer = store(ExtensionCalibration(1.02 / 800, date="2026-11-21", kind="dial gauge"), BOARD, {}, tmp_path)
    after = json.loads(cli("analyse", "--json", path, "--extension-calibration", finer).out)
    ratio = after["elongation_at_break_pct"]["value"] / before["elongation_at_break_pct"]["value"]
    assert ratio == pytest.approx(1.02, abs=5e-3)


def test_calibrations_that_do_not_fit(cli: Cli, tmp_path: Path) -> None:
    path, _ = pulled(cli, tmp_path)
    made = ForceCalibration(3e-7, kind="weights", date="2026-11-20")
    other = store_as(tmp_path / "other.json", made, 7, {})
    nobodys = store_as(tmp_path / "nobodys.json", made, None, {})
    strip = tmp_path / "strip.csv"
    strip.write_text("extension [mm],force [N]\n0,0\n1,1\n", encoding="utf-8")
    for files, words in (
        ((path, "--force-calibration", other), "another rig (board 00000007, and this is 5b000001)"),
        ((path, "--force-calibration", nobodys), "doesn't say which rig"),
        ((path, "--extension-calibration", other), "not a calibration of extension"),
        ((path, "--force-calibration", tmp_path / "none.json"), "can't be read"),
        ((strip, "--gauge-length-mm", "30", "--force-calibration", other), "no counts to calibrate"),
    ):
        assert words in assert_one_sentence(cli("analyse", *files))
