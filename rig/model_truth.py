"""What is true of every simulated rig, told apart from the model so that the host can use it too.

A simulated rig says in its Identity that it is one, and its counts per newton and steps per millimetre there are
the model's own. The one property the wire does not carry is the rig's give: it is a constant here, which the model
obeys. So a calibration of kind "simulated" needs nothing but what the board says, and no import of the model.
"""

from __future__ import annotations

from recordings.format import ExtensionCalibration, ForceCalibration

#: Give of a simulated rig, cell, clamps and frame together [mm/N]. Invented: small beside a strand's 2 mm/N.
COMPLIANCE_MM_PER_N = 0.012

#: The model's values are exact. These standard uncertainties are what a good calibration would leave, so that a
#: simulated pull has the uncertainty of a real one.
U_FORCE_REL = 0.001
U_LENGTH_REL = 0.0002
U_LENGTH_MM = 0.002
U_COMPLIANCE_MM_PER_N = 0.001

SIMULATED = "simulated"


def simulated_force(counts_per_n: float) -> ForceCalibration:
    """The force calibration of a simulated rig, from what its board says [count/N]."""
    return ForceCalibration(n_per_count=1.0 / counts_per_n, u_rel=U_FORCE_REL, kind=SIMULATED)


def simulated_extension(steps_per_mm: float) -> ExtensionCalibration:
    """The extension calibration of a simulated rig, from what its board says [step/mm]."""
    return ExtensionCalibration(
        mm_per_step=1.0 / steps_per_mm,
        u_rel=U_LENGTH_REL,
        u_mm=U_LENGTH_MM,
        compliance_mm_per_n=COMPLIANCE_MM_PER_N,
        u_compliance_mm_per_n=U_COMPLIANCE_MM_PER_N,
        kind=SIMULATED,
    )
