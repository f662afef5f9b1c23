"""A pull as it happens, as lines of text on stderr: what the rig does, and a curve that grows downwards."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tui.feed import curve_points
from tui.output import note
from tui.side_curve import HEADING, SideCurve

if TYPE_CHECKING:
    from rig.snapshot import Phase, Snapshot

#: Force at the end of the longest bar [N]: a single strand breaks at 0.5 to 1.5 N.
FULL_SCALE_N = 1.5

#: A pull without force or extension in units says this often that it goes on [s of board time].
SIGN_OF_LIFE_S = 2.0


class LiveText:
    """An observer of one pull."""

    def __init__(self) -> None:
        self._phase: Phase | None = None
        self._curve = SideCurve(FULL_SCALE_N)
        self._headed = False
        self._next_sign_s = SIGN_OF_LIFE_S

    def __call__(self, snapshot: Snapshot) -> None:
        """Say what is new; comes back at once."""
        if snapshot.phase is not self._phase and not snapshot.end_reason:
            self._phase = snapshot.phase
            note(f"- {snapshot.phase.value}")
        if snapshot.batch is None:
            return
        points = curve_points(snapshot)
        for stretch_pct, force_n in points:
            for line in self._curve.lines(stretch_pct, force_n):
                self._head()
                note(line)
        if not points and snapshot.t_s is not None and snapshot.t_s >= self._next_sign_s:
            self._next_sign_s = snapshot.t_s + SIGN_OF_LIFE_S
            note(f"  {snapshot.t_s:6.0f} s  {snapshot.rows} readings")

    def _head(self) -> None:
        if not self._headed:
            note(HEADING)
            self._headed = True
