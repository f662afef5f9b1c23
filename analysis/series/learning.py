"""Whether guesses come closer from session to session: the slope of how far off they were."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from analysis.errors import InputError
from analysis.series.intervals import CONFIDENCE, Interval, student_t

#: Sessions below which nothing is said of a trend: two points always lie on a line.
ENOUGH_SESSIONS = 3


@dataclass(frozen=True, slots=True)
class Trend:
    """How the distance between guess and measurement changes [its unit per session], with its interval."""

    sessions: int
    n: int
    per_session: float
    interval: Interval

    @property
    def direction(self) -> str:
        """The word for it: "closer" or "further" where the interval leaves zero out, else "unclear"."""
        if self.interval.high < 0.0:
            return "closer"
        return "further" if self.interval.low > 0.0 else "unclear"


def trend_of_errors(session: Sequence[int], off_by: Sequence[float]) -> Trend:
    """Slope of the absolute error over the number of the session, by least squares.

    Parameters
    ----------
    session
        Number of the session of each guess, shape (n,); sessions are counted, not dated.
    off_by
        How far each guess was off, without its sign, shape (n,) [any unit].

    Raises
    ------
    InputError
        For sequences of unequal length, for fewer than three sessions, or where so few guesses differ in session
        that nothing is left to judge the line by.

    Method
    ------
    Straight line by least squares; the interval is slope +- t(0.975; n - 2) u(slope), u from the scatter about the
    line (JCGM 100:2008, H.3). Every guess counts once, so that a session with many strands weighs more.
    """
    from analysis.metrology.polynomial import fit_polynomial

    if len(session) != len(off_by):
        raise InputError("every guess needs its session: the two lists differ in length")
    sessions = len(set(session))
    if sessions < ENOUGH_SESSIONS:
        raise InputError(
            f"{sessions} sessions are too few to say whether guesses come closer; it takes {ENOUGH_SESSIONS}"
        )
    fit = fit_polynomial(session, off_by, 1)
    slope, half = float(fit.coefficients[1]), student_t((1 + CONFIDENCE) / 2, fit.dof) * float(fit.u[1])
    return Trend(sessions, len(session), slope, Interval(slope - half, slope + half))
