"""What there is to look on at: the rig, the pull under way, the last result, and the recordings chosen for playing.

One writer, any number of readers, each at its own pace: a reader says what it has had, and is given all that is new
since. A slow one gets more at a time, never something old. Values are plain, ready for JSON. Knows no HTTP.
"""

from __future__ import annotations

import threading
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from tui.classroom.live import LiveCurve

#: A point is passed on once the curve has gone this far since the one before: finer is not seen in a browser.
LEAST_STRETCH_PCT, LEAST_FORCE_N = 0.02, 0.002

#: Points kept of one pull, whatever comes.
MOST_POINTS = 50_000


@dataclass(slots=True)
class Had:
    """What one reader has had already."""

    version: int = -1
    pull: int = 0
    points: int = 0
    result: int = 0
    reel: int = 0


@dataclass(slots=True)
class _Pull:
    """The pull under way, or the last one."""

    number: int = 0
    about: dict[str, Any] = field(default_factory=dict)
    phase: str = "waiting"
    x: list[float] = field(default_factory=list)
    y: list[float] = field(default_factory=list)
    now: tuple[float, float] | None = None
    curve: LiveCurve = field(default_factory=LiveCurve)


class Broadcast:
    """Tell it what happens; `wait` and `news` are for the readers, from any thread."""

    def __init__(self) -> None:
        self._changed = threading.Condition()
        self._version = 0
        self._closed = False
        self._rig: dict[str, Any] = {"name": "", "simulated": False, "doing": ""}
        self._pull = _Pull()
        self._result: tuple[int, dict[str, Any] | None] = (0, None)
        self._reel: tuple[int, dict[str, Any] | None] = (0, None)

    # -- what happens -------------------------------------------------------------------------------------

    def tell_rig(self, name: str, doing: str, *, simulated: bool) -> None:
        """Which rig it is, and what its motor does."""
        rig = {"name": name, "simulated": simulated, "doing": doing}
        with self._changed:
            if rig != self._rig:
                self._rig = rig
                self._change()

    def begin(self, file: str, title: str, rig: str, guideline_pct: float, *, simulated: bool) -> None:
        """A pull begins: the name of its recording, which strand it is, on which rig."""
        with self._changed:
            about = {
                "file": file,
                "title": title,
                "rig_name": rig,
                "guideline": guideline_pct,
                "simulated": simulated,
            }
            self._pull = _Pull(self._pull.number + 1, about, "pulling")
            self._change()

    def grow(self, stretch_pct: Iterable[float], force_n: Iterable[float]) -> None:
        """The pull's next points."""
        xs, ys = list(stretch_pct), list(force_n)
        if not xs:
            return
        with self._changed:
            pull = self._pull
            pull.curve.take_in(xs, ys)
            for x, y in zip(xs, ys, strict=True):
                if _is_worth(pull, x, y):
                    pull.x.append(round(x, 4))
                    pull.y.append(round(y, 5))
            pull.now = (round(xs[-1], 4), round(ys[-1], 5))
            self._change()

    def end(self) -> None:
        """The pull is over."""
        with self._changed:
            self._pull.phase = "ended"
            self._change()

    def show_result(self, result: dict[str, Any]) -> None:
        """The result of a recording."""
        with self._changed:
            self._result = (self._result[0] + 1, result)
            self._change()

    def show_reel(self, reel: dict[str, Any]) -> None:
        """Recordings to play."""
        with self._changed:
            self._reel = (self._reel[0] + 1, reel)
            self._change()

    def close(self) -> None:
        """Nothing comes any more."""
        with self._changed:
            self._closed = True
            self._changed.notify_all()

    def _change(self) -> None:
        self._version += 1
        self._changed.notify_all()

    # -- for the readers ----------------------------------------------------------------------------------

    @property
    def closed(self) -> bool:
        """Whether nothing comes any more."""
        return self._closed

    def wait(self, had: Had, timeout_s: float) -> bool:
        """Wait until there is something that the reader has not had; whether there is."""
        with self._changed:
            self._changed.wait_for(lambda: self._closed or self._version != had.version, timeout_s)
            return self._version != had.version

    def pause(self, seconds: float) -> None:
        """Let some time pass, but for the end."""
        with self._changed:
            self._changed.wait_for(lambda: self._closed, seconds)

    def news(self, had: Had) -> dict[str, Any]:
        """All that is new to the reader; `had` is brought up to date."""
        with self._changed:
            pull = self._pull
            if pull.number != had.pull:
                had.pull, had.points = pull.number, 0
            first, had.points = had.points, len(pull.x)
            news: dict[str, Any] = {"rig": self._rig, "pull": _pull_news(pull, first)}
            for name, (number, value) in (("result", self._result), ("reel", self._reel)):
                if number != getattr(had, name):
                    setattr(had, name, number)
                    news[name] = value
            had.version = self._version
            return news


def _is_worth(pull: _Pull, x: float, y: float) -> bool:
    """Whether a point shows anything that the last one does not."""
    if not pull.x:
        return True
    far = abs(x - pull.x[-1]) >= LEAST_STRETCH_PCT or abs(y - pull.y[-1]) >= LEAST_FORCE_N
    return far and len(pull.x) < MOST_POINTS


def _pull_news(pull: _Pull, first: int) -> dict[str, Any]:
    broke = pull.curve.broke
    return {
        **pull.about,
        "number": pull.number,
        "phase": pull.phase,
        "from": first,
        "x": pull.x[first:],
        "y": pull.y[first:],
        "now": pull.now,
        "region": pull.curve.region,
        "broke": None if broke is None else [round(broke[0], 4), round(broke[1], 5)],
    }
