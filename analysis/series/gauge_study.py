"""Whose scatter is it? Variance components of repeated measurements: rig, person, strand.

A crossed study (every person measures every part several times) fits what can be measured again: a reference
spring, a diameter. A strand can be broken once, so break values take a nested study: people, each with
strands of their own from the same head.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from analysis.errors import InputError

FloatArray = NDArray[np.float64]

#: Above this p the interaction of person and part is taken as chance and pooled (AIAG MSA, 4th ed.).
POOL_P = 0.05
#: Factor of the number of distinct categories (AIAG MSA, 4th ed.).
CATEGORIES_FACTOR = 1.41


@dataclass(frozen=True, slots=True)
class Line:
    """One line of an analysis of variance."""

    source: str
    dof: int
    ss: float

    @property
    def ms(self) -> float:
        """Mean square."""
        return self.ss / self.dof if self.dof else 0.0


@dataclass(frozen=True, slots=True)
class CrossedStudy:
    """Standard deviations of the components, in the unit measured, and the analysis of variance."""

    lines: tuple[Line, ...]
    interaction_p: float
    pooled: bool
    repeatability_sd: float
    reproducibility_sd: float
    part_sd: float

    @property
    def rig_and_person_sd(self) -> float:
        """Repeatability and reproducibility together."""
        return math.hypot(self.repeatability_sd, self.reproducibility_sd)

    @property
    def total_sd(self) -> float:
        """All components together."""
        return math.hypot(self.rig_and_person_sd, self.part_sd)

    @property
    def categories(self) -> int:
        """How many kinds of parts the measurement can tell apart, rounded down."""
        if self.rig_and_person_sd == 0:
            raise InputError(
                "the readings don't scatter at all, so this says nothing; check that they are readings"
            )
        return int(CATEGORIES_FACTOR * self.part_sd / self.rig_and_person_sd)


def crossed_study(readings: FloatArray) -> CrossedStudy:
    """Crossed study by analysis of variance, random effects.

    Parameters: readings, shape (parts, people, repeats), at least two of each. Method: two-way analysis of
    variance with interaction; interaction pooled into repeatability if its p is above POOL_P; negative
    components become zero. AIAG, Measurement Systems Analysis, 4th ed. Raises InputError for too few.
    """
    from scipy.stats import f

    if readings.ndim != 3 or min(readings.shape) < 2:
        raise InputError("a crossed study needs at least two parts, two people and two repeats, none missing")
    parts, people, repeats = readings.shape
    grand = readings.mean()
    part_ss = people * repeats * float(np.sum((readings.mean(axis=(1, 2)) - grand) ** 2))
    person_ss = parts * repeats * float(np.sum((readings.mean(axis=(0, 2)) - grand) ** 2))
    cells = repeats * float(np.sum((readings.mean(axis=2) - grand) ** 2))
    within_ss = float(np.sum((readings - readings.mean(axis=2, keepdims=True)) ** 2))
    person, part = Line("person", people - 1, person_ss), Line("part", parts - 1, part_ss)
    both = Line("person x part", (people - 1) * (parts - 1), cells - part_ss - person_ss)
    within = Line("repeat", parts * people * (repeats - 1), within_ss)
    p = float(f.sf(both.ms / within.ms, both.dof, within.dof)) if within.ms else 0.0
    pooled = p > POOL_P
    error = Line("error", both.dof + within.dof, both.ss + within.ss) if pooled else both
    repeatability = error.ms if pooled else within.ms
    interaction = 0.0 if pooled else max(0.0, (both.ms - within.ms) / repeats)
    person_variance = max(0.0, (person.ms - error.ms) / (parts * repeats)) + interaction
    part_variance = max(0.0, (part.ms - error.ms) / (people * repeats))
    return CrossedStudy(
        (person, part, both, within),
        p,
        pooled,
        math.sqrt(repeatability),
        math.sqrt(person_variance),
        math.sqrt(part_variance),
    )


@dataclass(frozen=True, slots=True)
class NestedStudy:
    """Mean, within-group sd (rig and strand together), between-group sd (people or laboratories)."""

    mean: float
    repeatability_sd: float
    between_sd: float

    @property
    def reproducibility_sd(self) -> float:
        """Between and within together: never less than the repeatability."""
        return math.hypot(self.repeatability_sd, self.between_sd)

    @property
    def share_between(self) -> float:
        """Share of the variance that lies between the groups, from 0 to 1."""
        total = self.reproducibility_sd**2
        return self.between_sd**2 / total if total else 0.0


def nested_study(groups: list[FloatArray]) -> NestedStudy:
    """One-way random-effects study with groups of any size (ISO 5725-2:1994, 7.4).

    The number of readings a group enters as (N - sum n_i**2 / N) / (g - 1). The mean is that of all readings.
    Raises InputError for fewer than two groups or when no group has two readings.
    """
    sizes = np.array([len(group) for group in groups])
    if len(groups) < 2 or int(np.sum(sizes - 1)) < 1 or np.any(sizes < 1):
        raise InputError("a nested study needs at least two people, and at least one of them with two strands")
    total = int(sizes.sum())
    means = np.array([float(np.mean(group)) for group in groups])
    grand = float(sizes @ means / total)
    within = sum(float(np.sum((group - group.mean()) ** 2)) for group in groups) / (total - len(groups))
    between = float(sizes @ (means - grand) ** 2) / (len(groups) - 1)
    per_group = (total - float(sizes @ sizes) / total) / (len(groups) - 1)
    return NestedStudy(grand, math.sqrt(within), math.sqrt(max(0.0, (between - within) / per_group)))
