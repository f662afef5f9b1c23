"""What is true of every simulated rig, told apart from the model so that the host can use it too.

A simulated rig says in its Identity that it is one, and its counts per newton and steps per metre there are the
model's own. The one property the wire does not carry is the rig's give: it is a constant here, which the model
obeys. So a calibration of kind "simulated" needs nothing but the Identity, and no import of the model.
"""

from __future__ import annotations

from firmware_protocol.messages import Identity
from firmware_protocol.vocabulary import Ability
from recordings.format import ExtensionCalibration, ForceCalibration

#: Give of a simulated rig: cell, clamps and frame together [mm/N]. A 2 N bending cell alone gives some 0.1 to
#: 0.5 mm at full load (general knowledge); this one is stiffened as far as a college can, and then some.
COMPLIANCE_MM_PER_N = 0.012

#: The model's values are exact. These standard uncertainties are what a good calibration would leave, so that a
#: simulated pull shows what a real one would.
U_FORCE_REL = 0.001
U_LENGTH_REL = 0.0002
U_LENGTH_MM = 0.002
U_COMPLIANCE_MM_PER_N = 0.001


def is_simulated(identity: Identity) -> bool:
    """Whether a board said that it is a simulated one."""
    return bool(identity.abilities & Ability.SIMULATED)


def simulated_calibration(identity: Identity) -> tuple[ForceCalibration, ExtensionCalibration]:
    """The calibration of a simulated rig, from what it says of itself.

    Raises ValueError where the board is not a simulated one: its word is no calibration.
    """
    if not is_simulated(identity):
        raise ValueError("this board is not a simulated one: calibrate it")
    n_per_count = 1.0 / identity.counts_per_n
    force = ForceCalibration(
        n_per_count=n_per_count,
        u_rel=U_FORCE_REL,
        kind="simulated",
        identifier="simulated rig",
    )
    extension = ExtensionCalibration(
        mm_per_step=1000.0 / identity.steps_per_m,
        u_rel=U_LENGTH_REL,
        u_mm=U_LENGTH_MM,
        compliance_mm_per_n=COMPLIANCE_MM_PER_N,
        u_compliance_mm_per_n=U_COMPLIANCE_MM_PER_N,
        kind="simulated",
        identifier="simulated rig",
    )
    return force, extension
