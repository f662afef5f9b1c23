"""Which rig this is, how well its link does, and what the motor is doing: always in sight, in one row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tui import wording
from tui.widgets.cells import Span
from tui.widgets.painted import Painted

#: Cells between two parts of the row.
BETWEEN = "   "


@dataclass(frozen=True, slots=True)
class RigState:
    """What there is to say about the rig now. Text is clean already."""

    connected: bool = False
    name: str = ""
    simulated: bool = False
    #: Readings a second that come in; None where nobody listens.
    rate_hz: float | None = None
    lost: int = 0
    damaged: int = 0
    moving: bool = False
    #: What the motor does or why it may not run; "" for standing still.
    doing: str = ""
    link_gone: bool = False


def status_spans(state: RigState, width: int) -> list[Span]:
    """The row, as long as `width` allows: the rate goes first, then the name; link and motor always stay."""
    for keep_name, keep_rate in ((True, True), (True, False), (False, False)):
        spans = _spans(state, keep_name=keep_name, keep_rate=keep_rate)
        if sum(len(span.text) for span in spans) <= width:
            break
    return spans


def _spans(state: RigState, *, keep_name: bool, keep_rate: bool) -> list[Span]:
    if not state.connected and not state.link_gone:
        return [Span(" ", "blank"), Span(wording.NO_RIG, "quiet")]
    spans = [Span(" ", "blank")]
    if state.simulated:
        spans += [Span(f" {wording.SIMULATED} ", "simulated"), Span(" ", "blank")]
    if keep_name and state.name:
        spans.append(Span(state.name + BETWEEN, "strong"))
    spans += _link(state, keep_rate=keep_rate)
    spans.append(Span(BETWEEN, "blank"))
    spans.append(_motor(state))
    return spans


def _link(state: RigState, *, keep_rate: bool) -> list[Span]:
    if state.link_gone:
        return [Span(wording.LINK_GONE, "bad")]
    troubled = bool(state.lost or state.damaged)
    head = Span(wording.LINK_LOSSES, "unsure") if troubled else Span(wording.LINK_GOOD, "good")
    parts = [wording.RATE.format(rate=state.rate_hz)] if keep_rate and state.rate_hz is not None else []
    if keep_rate or troubled:
        parts += [wording.LOST.format(count=state.lost), wording.BAD.format(count=state.damaged)]
    return [head, Span("".join(f", {part}" for part in parts), "unsure" if troubled else "quiet")]


def _motor(state: RigState) -> Span:
    if state.moving:
        text = f"{wording.MOTOR_RUNS}, {state.doing}" if state.doing else wording.MOTOR_RUNS
        return Span(f" {text} ", "moving")
    return Span(state.doing, "unsure") if state.doing else Span(wording.MOTOR_STILL, "quiet")


class LinkStatus(Painted):
    """The row on the screen; give it a new state whenever there is one."""

    def __init__(self) -> None:
        super().__init__(id="link-status")
        self._state = RigState()

    @property
    def state(self) -> RigState:
        """What is shown."""
        return self._state

    def show(self, state: RigState) -> None:
        """Show another state."""
        if state != self._state:
            self._state = state
            self.refresh()

    def row(self, y: int) -> Sequence[Span]:
        """The only row."""
        return status_spans(self._state, self.size.width)
