"""The residual table of a force calibration: what each load should read, reads, and how far that is off."""

from __future__ import annotations

from dataclasses import dataclass

from analysis.metrology.force_calibration import ForceReport


@dataclass(frozen=True, slots=True)
class LoadRow:
    """One step of the run. `counts` are from the run's zero; what can't be had without a fit is None.

    `indicated_n` is the force as a pull would show it: zero taken, no intercept. `error_pct` is of the true
    force, None at zero.
    """

    mass_g: float
    rising: bool
    force_n: float
    counts: float
    indicated_n: float | None
    error_n: float | None
    error_pct: float | None


def load_rows(report: ForceReport) -> tuple[LoadRow, ...]:
    """The steps of a run with their errors, by the calibration, or by the line where it was refused."""
    scale = _scale(report)
    table = report.table
    rows = []
    for mass, rising, force, counts in zip(table.mass_g, table.rising, table.force_n, table.counts, strict=True):
        indicated = None if scale is None else float(scale[0] * counts + scale[1] * counts**2)
        error = None if indicated is None else indicated - float(force)
        share = None if error is None or not mass else 100 * error / abs(float(force))
        rows.append(LoadRow(float(mass), bool(rising), float(force), float(counts), indicated, error, share))
    return tuple(rows)


def _scale(report: ForceReport) -> tuple[float, float] | None:
    if report.calibration is not None:
        return report.calibration.n_per_count, report.calibration.n_per_count2
    return None if report.line is None else (float(report.line.coefficients[1]), 0.0)
