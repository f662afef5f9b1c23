"""One pull on a board that only prints lines: recorded in the same format, moved by the person.

Ended by a break, by silence or by the person. Nothing is sent to the board, so there is no motor to stop: the
screen says that the motion is the person's.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from rig.background import Background
from rig.clock import Clock, WallClock
from rig.errors import NotARig, RecordingFailed
from rig.force_zero import FEWEST_READINGS, ForceZero, force_zero
from rig.header import header_of_lines
from rig.limits import SILENCE_S, Trip
from rig.line_board import LineBoard
from rig.line_columns import LineColumns, parse_columns
from rig.line_scale import calibrations_of
from rig.link import DEFAULT_BAUD, Link, open_link
from rig.live import LiveFigures
from rig.outcome import PullOutcome
from rig.plan import PullPlan, break_floor_counts
from rig.recorder import Recorder
from rig.samples import SampleBatch, joined, part_of
from rig.scale import Scale
from rig.snapshot import Observer, Phase, nobody
from rig.specimen_rules import check_specimen
from rig.taking import TAKE_S, Taking

#: What comes in the first moment after opening may be left over from before [s].
SETTLE_S = 0.5
#: A board that starts anew when its port is opened may take this long to its first line [s].
FIRST_LINE_S = 8.0


class LineRun(Background):
    """One pull by hand; used once: `run` here, or `start` and `wait`; `request_stop` from any thread."""

    def __init__(
        self,
        open_board: Callable[[], Link],
        columns: str,
        plan: PullPlan,
        observer: Observer = nobody,
        clock: Clock | None = None,
    ) -> None:
        """Raises BadPlan for columns, a strand or a calibration that can't be."""
        super().__init__(clock or WallClock())
        self._open_board = open_board
        self._columns = parse_columns(columns)
        check_specimen(plan.specimen)
        self._calibrations = calibrations_of(self._columns, plan)
        self._plan = plan
        self._observer = observer
        self._board: LineBoard | None = None

    def run(self) -> PullOutcome:
        """Record until the strand breaks, the board falls silent or the person stops.

        Raises RigError where it does not come to a recording, and whatever an observer raises.
        """
        board = self._board = LineBoard(self._open_board(), self._columns, self._clock)
        board.start()
        try:
            first = first_readings(board, self._columns, self._wished)
            pull = _LinePull(board, self._plan, self._recorder(board), self._scale(), self._observer, first)
            return self._carry_out(lambda: pull.until_end(self._wished), pull.end)
        finally:
            board.close()

    def _hurry(self) -> None:
        if self._board:
            self._board.inbox.wake()

    def _recorder(self, board: LineBoard) -> Recorder:
        header = header_of_lines(
            board.link.address,
            self._columns.text,
            self._calibrations,
            self._plan.specimen,
            replace(self._plan.method, kind="by_hand", speed_mm_min=None),
            self._clock.today(),
        )
        return Recorder(self._plan.directory, header)

    def _scale(self) -> Scale:
        made, gauge = self._calibrations, self._plan.specimen.gauge_length_mm
        return Scale(made.force, made.extension, gauge)


def run_lines(
    url: str, columns: str, plan: PullPlan, observer: Observer = nobody, baud: int = DEFAULT_BAUD
) -> PullOutcome:
    """Record one pull on a board that prints lines; see `LineRun.run`. `columns` as in `line_columns`."""
    return LineRun(lambda: open_link(url, baud), columns, plan, observer).run()


class _LinePull:
    """One pull by hand with its open recording; belongs to one thread."""

    def __init__(
        self,
        board: LineBoard,
        plan: PullPlan,
        recorder: Recorder,
        scale: Scale,
        observer: Observer,
        first: tuple[SampleBatch, ...],
    ) -> None:
        self._board = board
        self._plan = plan
        scale = replace(scale, start_steps=first[0].steps[0])
        self._taking = Taking(board, recorder, LiveFigures(scale), observer)
        self._first = first

    def until_end(self, stopped: Callable[[], Trip | None]) -> Trip:
        """Zero, then record until it is over."""
        rest, moving = at_motion(self._first)
        self._taking.add(rest)
        zero = self._zero_of(rest) if moving else self._taking.take_zero(self._plan.zero_s, stopped)
        if isinstance(zero, Trip):
            return zero
        figures = self._taking.figures
        scale = replace(figures.scale, zero_counts=zero.counts)
        figures.watch(scale, break_floor_counts(scale, zero.sd_counts))
        self._taking.recorder.mark("started")
        self._taking.enter(Phase.BY_HAND)
        for batch in moving:
            self._taking.add(batch)
        return self._watch(stopped)

    def _zero_of(self, rest: SampleBatch) -> ForceZero:
        """The zero from readings before the stage moved: the person, or a board in a hurry, began at once."""
        zero = force_zero(rest.counts)
        self._taking.recorder.mark("zeroed", counts=zero.counts, n=zero.n, sd_counts=zero.sd_counts)
        return zero

    def end(self, trip: Trip) -> PullOutcome:
        """Take last readings and end the recording."""
        recorder = self._taking.recorder
        try:
            try:
                if trip.reason == "break":
                    recorder.mark("break_seen")
                recorder.mark("stopped", text=trip.text, reason=trip.reason)
                if trip.reason in ("break", "key"):
                    self._taking.last_readings(self._plan.after_end_s)
            finally:
                recorder.finish(trip.reason)
        except RecordingFailed as problem:
            trip = Trip("error", str(problem))
        self._taking.finish(trip.reason, trip.text)
        return PullOutcome(recorder.path, trip.reason, trip.text, recorder.rows, recorder.lost)

    def _watch(self, stopped: Callable[[], Trip | None]) -> Trip:
        clock = self._board.clock
        last_s = clock.now_s()
        while True:
            if self._taking.take():
                last_s = clock.now_s()
            trip = stopped() or self._judge(clock.now_s() - last_s)
            if trip:
                return trip

    def _judge(self, silent_s: float) -> Trip | None:
        if self._board.link_cause:
            raise self._board.link_cause
        if self._taking.figures.break_seen:
            return Trip("break", "The strand broke: stop moving the stage.")
        if silent_s > SILENCE_S:
            return Trip("silence", f"The board printed nothing for {silent_s:.1f} s, so the recording was ended.")
        return None


def first_readings(
    board: LineBoard, columns: LineColumns, stopped: Callable[[], Trip | None]
) -> tuple[SampleBatch, ...]:
    """Wait until the board prints what the columns say. Raises NotARig with what it printed instead."""
    clock = board.clock
    opened_s, batches = clock.now_s(), tuple[SampleBatch, ...]()
    while clock.now_s() - opened_s < FIRST_LINE_S:
        new = board.take(TAKE_S)
        batches = _since_its_start((*batches, *new))
        if board.link_cause:
            raise board.link_cause
        if trip := stopped():
            raise NotARig(trip.text)
        # lines that came at once and stopped are from before a restart, unless a whole pull is in them
        if clock.now_s() - opened_s > SETTLE_S and batches and (new or at_motion(batches)[1]):
            board.settle()
            return batches
    raise NotARig(_nothing_useful(board, columns))


def _since_its_start(batches: tuple[SampleBatch, ...]) -> tuple[SampleBatch, ...]:
    """The batches since the board's time last went back: opening the port starts some boards anew."""
    starts = [i for i in range(1, len(batches)) if batches[i].t_us[0] < batches[i - 1].t_us[-1]]
    return batches[starts[-1] :] if starts else batches


def at_motion(batches: tuple[SampleBatch, ...]) -> tuple[SampleBatch, tuple[SampleBatch, ...]]:
    """The readings before the stage moved, and those since; where it moved at once, the first few count as before.

    All are before where it has not moved, or too little was read to say.
    """
    first, *later = joined(batches)
    moved = next((i for i, s in enumerate(first.steps) if s != first.steps[0]), len(first))
    cut = max(moved, FEWEST_READINGS)
    since = (part_of(first, cut, len(first)), *later)
    return part_of(first, 0, cut), tuple(batch for batch in since if len(batch))


def _nothing_useful(board: LineBoard, columns: LineColumns) -> str:
    if board.health.bytes_read == 0:
        return (
            f"Nothing was printed at {board.link.address} within {FIRST_LINE_S:.0f} s: check the cable and power."
        )
    printed = " | ".join(board.unread) or "(no whole line)"
    return (
        f"What {board.link.address} prints ({printed}) does not fit the columns {columns.text}: name the columns "
        "as they stand in a line, or give the line speed with --baud."
    )
