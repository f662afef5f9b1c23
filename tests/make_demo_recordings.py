"""Make the demo recordings again: every one pulled on the simulated rig, behind a real port.

Run as `python -m tests.make_demo_recordings` from the project's root. Kept out of the packages: recordings
know nothing of rigs.
"""

from __future__ import annotations

import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path

from recordings.datapackage import write_package
from recordings.format import Method, Specimen
from rig.connect import connect
from rig.plan import PullPlan
from rig.run import run_pull
from rig.simulated.board import SimulatedBoard
from rig.simulated.server import serve
from rig.simulated.settings import SimulationSettings

FOLDER = Path(__file__).resolve().parent.parent / "recordings" / "demo"
GAUGE_MM = 30.0
#: Twice the usual rate, so that the files stay small [mm/min].
SPEED_MM_MIN = 36.0
TIME_SCALE = 10.0


@dataclass(frozen=True)
class Take:
    """One demo recording: file name, kind of strand and seed, and what was said of it."""

    file: str
    kind: str
    seed: int
    reference: str
    zone: str
    history: str
    condition: str = "dry"
    note: str = ""


TAKES = (
    Take("head-A_virgin_crown_1", "virgin", 14, "head-A", "crown", "virgin"),
    Take("head-A_virgin_crown_2", "virgin", 21, "head-A", "crown", "virgin"),
    Take("head-A_virgin_nape_3", "virgin", 22, "head-A", "nape", "virgin"),
    Take("head-A_lightened_crown_1", "lightened", 17, "head-A", "crown", "lightened"),
    Take("head-A_lightened_crown_2", "lightened", 18, "head-A", "crown", "lightened"),
    Take("head-A_lightened_nape_3", "lightened", 23, "head-A", "nape", "lightened"),
    Take("head-A_virgin_wet_1", "wet", 14, "head-A", "crown", "virgin", "wet"),
    Take("head-A_slipped", "slipping", 41, "head-A", "nape", "virgin", note="the lower clamp was not tight"),
    Take(
        "wire_never_broke", "never-breaking", 51, "wire", "", "a wire, not hair", note="to see a strand that holds"
    ),
    Take("head-B_over-processed_crown_1", "over-processed", 12, "head-B", "crown", "over-processed"),
    Take("head-B_over-processed_crown_2", "over-processed", 14, "head-B", "crown", "over-processed"),
    Take("head-B_over-processed_nape_3", "over-processed", 22, "head-B", "nape", "over-processed"),
)


def make(take: Take, folder: Path) -> None:
    """Pull one strand and keep its recording under the take's name."""
    settings = SimulationSettings(strand=take.kind, seed=take.seed, time_scale=TIME_SCALE, gauge_length_mm=GAUGE_MM)
    specimen = Specimen(
        GAUGE_MM,
        reference=take.reference,
        zone=take.zone,
        history=take.history,
        condition=take.condition,
        # read with a micrometer, to the nearest micrometre
        diameter_um=float(round(SimulatedBoard(settings).truths[0].parts[0].diameter_um)),
        u_diameter_um=1.0,
        series="lesson 1 (invented)",
        note=take.note or "invented scenario",
    )
    plan = PullPlan(specimen, Method(speed_mm_min=SPEED_MM_MIN), folder, simulation=settings.to_header())
    with serve(settings) as server, connect(server.url) as stretcher:
        outcome = run_pull(stretcher, plan)
    outcome.path.rename(FOLDER / f"{take.file}.pull.csv")
    sys.stdout.write(f"{take.file}: {outcome.message}\n")


def main() -> None:
    """Replace all demo recordings and their description."""
    for old in FOLDER.glob("*.pull.csv"):
        old.unlink()
    with tempfile.TemporaryDirectory() as folder:
        for take in TAKES:
            make(take, Path(folder))
    write_package(FOLDER)


if __name__ == "__main__":
    main()
