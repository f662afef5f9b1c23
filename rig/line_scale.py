"""What turns the columns of a board that prints lines into newtons and millimetres: its own units, a calibration
file, or the scale as the person gives it. Knows no ports.
"""

from __future__ import annotations

from recordings.format import ExtensionCalibration, ForceCalibration
from rig.calibration_store import Calibrations, load_extension, load_force
from rig.errors import BadPlan
from rig.line_columns import FORCE, POSITION, LineColumns
from rig.plan import PullPlan


def calibrations_of(columns: LineColumns, plan: PullPlan) -> Calibrations:
    """The scales of a board's columns. Raises BadPlan for a scale that can't be, or is given twice."""
    force, position = columns.of(FORCE), columns.of(POSITION)
    made_force, made_extension = _given_force(plan), _given_extension(plan)
    if force and force.si_per_stored is not None:
        if made_force:
            raise BadPlan("The board prints a force, which can't be calibrated again: leave the calibration out.")
        made_force = ForceCalibration(force.si_per_stored, kind="printed")
    if position and position.si_per_stored is not None:
        if made_extension:
            raise BadPlan("The board prints a length, which can't be calibrated again: leave the calibration out.")
        made_extension = ExtensionCalibration(position.si_per_stored, kind="printed")
    return Calibrations(made_force, made_extension if position else None)


def _given_force(plan: PullPlan) -> ForceCalibration | None:
    """The calibration file, else the scale as the person gave it, which is nobody's calibration."""
    if plan.force_calibration:
        return load_force(plan.force_calibration, None)
    if plan.counts_per_n is None:
        return None
    if plan.counts_per_n == 0:
        raise BadPlan("No count means no force: give how many counts a newton makes, such as 3500000.")
    return ForceCalibration(1.0 / plan.counts_per_n)


def _given_extension(plan: PullPlan) -> ExtensionCalibration | None:
    """The calibration file, else the scale as the person gave it."""
    if plan.extension_calibration:
        return load_extension(plan.extension_calibration, None)
    if plan.steps_per_mm is None:
        return None
    if plan.steps_per_mm == 0:
        raise BadPlan("No step means no motion: give how many steps a millimetre takes, such as 800.")
    return ExtensionCalibration(1.0 / plan.steps_per_mm)
