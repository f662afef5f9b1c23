"""The strands a simulated rig can have in its clamps, by name. Every one is invented.

Their numbers lie in ranges that have been published for hair:

    modulus            3.8 GPa for untreated hair at 50 % humidity, from 22 gf at 2 % of a 60 um fibre
                       (a worked example in a handbook of hair science, Appendix B)
    yield              from about 2 % to 25-30 % strain, the fibre stiffens beyond (Feughelman,
                       J. Soc. Cosmet. Chem. 33 (1982) 396); wool yields at 75-97 MPa (Morton & Hearle,
                       Physical Properties of Textile Fibres, table 13.1, at a density of 1.31 g/cm3)
    stress at break    189-210 MPa in three groups of volunteers
    lightening         4 h in 6 % hydrogen peroxide leave 89 % of the modulus, 73 % of the yield stress and 85 %
                       of the stress at break (J. Soc. Cosmet. Chem. 44 (1993) 362, table VI), and raise the
                       strain at break
    waving, 3 times    leaves 27 % of the modulus, 37 % of the yield stress, 30 % of the stress at break (same)
    water              easier to stretch, less force to break, further before it breaks
    humidity           10-20 % more or less stress at break far from 60 %

Strain at break (dry 40-50 %, wet 50-60 %) and its scatter are from memory. This module knows no rig.
"""

from __future__ import annotations

from dataclasses import dataclass

from rig.simulated.curve import KeratinCurve


@dataclass(frozen=True)
class StrandKind:
    """A kind of strand: its mean curve and what its strands differ by. Strains are fractions.

    `shares` splits the cross-section into parts that break apart (two strands are two whole ones), each
    `share_gap` of strain after the one before. `spring_n_per_mm` makes a spring of it that never changes.
    """

    name: str
    doc: str
    curve: KeratinCurve
    break_strain: float | None
    scatter_break: float = 0.12
    condition: str = "dry"
    diameter_um: float = 70.0
    relaxed_share: float = 0.18
    relaxation_s: float = 25.0
    set_share: float = 0.08
    slip_force_n: float | None = None
    shares: tuple[float, ...] = (1.0,)
    share_gap: float = 0.0
    spring_n_per_mm: float | None = None
    ideal: bool = False


_VIRGIN = KeratinCurve(3800.0, 0.025, 60.0, 0.28, 520.0)
_LIGHTENED = KeratinCurve(3390.0, 0.0205, 45.0, 0.28, 400.0)
_WET = KeratinCurve(1700.0, 0.026, 30.0, 0.28, 400.0)
_STEEL = KeratinCurve(200_000.0, 1.0, 200_000.0, 2.0, 200_000.0, foot_width=1e-6)

KINDS: dict[str, StrandKind] = {
    kind.name: kind
    for kind in (
        StrandKind("virgin", "untreated hair, dry", _VIRGIN, 0.45),
        StrandKind("lightened", "hair lightened once: weaker, and stretches further", _LIGHTENED, 0.50),
        StrandKind(
            "over-processed",
            "hair lightened and waved too often: breaks early",
            KeratinCurve(1600.0, 0.025, 40.0, 0.28, 250.0),
            0.13,
            0.18,
            set_share=0.2,
        ),
        StrandKind(
            "borderline",
            "damaged hair that breaks near 20 %: too close to call",
            KeratinCurve(2400.0, 0.024, 45.0, 0.28, 300.0),
            0.205,
            0.03,
            set_share=0.15,
        ),
        StrandKind(
            "relaxed",
            "hair straightened with a relaxer: soft and weak",
            KeratinCurve(2200.0, 0.023, 40.0, 0.27, 260.0),
            0.34,
            0.15,
            set_share=0.15,
        ),
        StrandKind(
            "heat-damaged",
            "hair straightened with heat every day: stiff, breaks before it stiffens further",
            KeratinCurve(3600.0, 0.022, 50.0, 0.26, 420.0),
            0.26,
            0.2,
            set_share=0.12,
        ),
        StrandKind(
            "wet", "untreated hair in water", _WET, 0.55, condition="wet", relaxed_share=0.25, set_share=0.02
        ),
        StrandKind(
            "lightened-wet",
            "lightened hair in water: stretches far with little force",
            KeratinCurve(1200.0, 0.025, 20.0, 0.30, 260.0),
            0.62,
            condition="wet",
            relaxed_share=0.3,
            set_share=0.08,
        ),
        StrandKind("slipping", "untreated hair that slips in its clamp", _VIRGIN, 0.45, slip_force_n=0.28),
        StrandKind(
            "never-breaking",
            "a strand that outlasts the travel of the stage",
            KeratinCurve(3000.0, 0.024, 40.0, 0.30, 45.0),
            None,
        ),
        StrandKind(
            "partial-break",
            "untreated hair of which a third tears first",
            _VIRGIN,
            0.38,
            shares=(0.35, 0.65),
            share_gap=0.06,
        ),
        StrandKind("two-strands", "two strands in the clamps by mistake", _VIRGIN, 0.45, shares=(1.0, 1.0)),
        StrandKind(
            "stiff-wire",
            "a steel wire 0.1 mm thick: shows the rig's own give",
            _STEEL,
            None,
            diameter_um=100.0,
            ideal=True,
        ),
        StrandKind(
            "reference-spring",
            "a spring of 0.05 N/mm for the daily check",
            _STEEL,
            None,
            spring_n_per_mm=0.05,
            ideal=True,
        ),
        StrandKind(
            "hook",
            "no strand but an empty hook, to hang weights on",
            _STEEL,
            None,
            spring_n_per_mm=0.0,
            ideal=True,
        ),
    )
}


@dataclass(frozen=True)
class Treatment:
    """What a treatment leaves of a strand's modulus, of its yield stress and of the stiffening beyond (shares)."""

    doc: str
    modulus: float
    yield_stress: float
    post_yield: float


#: Shares of the untreated value that were left (J. Soc. Cosmet. Chem. 44 (1993) 362, table VI; the stiffening
#: beyond the yield region by the stress at break). A strand that was only wetted and rested recovers wholly.
TREATMENTS: dict[str, Treatment] = {
    "": Treatment("nothing", 1.0, 1.0, 1.0),
    "rest": Treatment("a night in water, and dried again", 1.0, 1.0, 1.0),
    "peroxide": Treatment("4 h in 6 % hydrogen peroxide", 0.893, 0.731, 0.848),
    "waving": Treatment("one permanent wave", 0.857, 0.821, 0.697),
    "waving-twice": Treatment("two permanent waves", 0.536, 0.522, 0.515),
}


def treatment_named(name: str) -> Treatment:
    """The treatment of that name.

    Raises ValueError, with a sentence for a person.
    """
    if name not in TREATMENTS:
        known = ", ".join(name for name in TREATMENTS if name)
        raise ValueError(f"there is no simulated treatment called {name!r}; choose from {known}")
    return TREATMENTS[name]


def kind_named(name: str) -> StrandKind:
    """The kind of strand of that name.

    Raises ValueError, with a sentence for a person.
    """
    if name not in KINDS:
        raise ValueError(f"there is no simulated strand called {name!r}; choose from {', '.join(KINDS)}")
    return KINDS[name]
