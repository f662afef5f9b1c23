"""A strand of a series: its diameter, the pull itself, and the way back; what the usual screens do, by the plan."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input, Static

from tui import wording
from tui import wording_lab as words
from tui.check.times import now
from tui.lab.plan import Next, Plan, next_strand, strand_name, with_pull
from tui.screens.move_back import MoveBackScreen
from tui.screens.pull import PullScreen
from tui.screens.series_frame import SeriesFrame
from tui.strand_form import StrandForm, diameter_problem, specimen_of
from tui.widgets.field import Field

if TYPE_CHECKING:
    from recordings.format import Method, Specimen
    from rig.outcome import PullOutcome


class SeriesStrandScreen(SeriesFrame):
    """Measure the strand."""

    STEP = 2
    QUESTION = words.STRAND_QUESTION
    ABOUT = "series_strand"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", wording.GO_ON),
        Binding("f2", "app.go('series')", wording.BACK),
    ]

    def parts(self) -> Iterable[Widget]:
        """Which strand, and the line to type into."""
        own_rig = self.bench_app.bench.own_rig
        first = own_rig.next_form().diameter if own_rig is not None else ""
        strand = next_strand(self.plan)
        about = "" if strand is None else words.STRAND_ABOUT.format(
            group=self.plan.groups[strand.group].name, number=strand.number, zone=strand.zone
        )  # fmt: skip
        yield Static(about, classes="remark", markup=False)
        yield Field(
            "diameter", wording.STRAND_DIAMETER, wording.STRAND_DIAMETER_HINT, first, check=diameter_problem
        )

    def on_mount(self) -> None:
        """Begin to type."""
        self.query_one(Field).input.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Go on to the pull."""
        self.action_go_on()

    def action_go_on(self) -> None:
        """Go on to the pull where the diameter is none or one that can be."""
        field, strand = self.query_one(Field), next_strand(self.plan)
        if strand is None:
            self.bench_app.go("series")
        elif field.judge():
            self.bench_app.go("series_pull", self.plan, strand, field.value)


class SeriesBackScreen(MoveBackScreen):
    """Moving back between two strands of a series."""

    STEPS = words.STEPS
    STEP = 2
    NEXT = "series_strand"


class SeriesPullScreen(PullScreen):
    """Pull a strand of a series."""

    STEPS = words.STEPS

    def __init__(self, plan: Plan, strand: Next, diameter: str) -> None:
        super().__init__()
        self._series, self._strand, self._diameter = plan, strand, diameter

    @property
    def form(self) -> StrandForm:
        """What the plan says of the strand."""
        plan, group = self._series, self._series.groups[self._strand.group]
        return StrandForm(
            zone=self._strand.zone,
            history=group.history,
            condition=group.condition,
            gauge_length=f"{plan.gauge_length_mm:g}",
            diameter=self._diameter,
        )

    def specimen(self) -> Specimen:
        """The strand, with the series that it belongs to."""
        return replace(specimen_of(self.form), series=self._series.series, strand=strand_name(self._strand))

    def method(self) -> Method:
        """How the plan has it pulled, and the air at the bench."""
        from recordings.format import Method

        plan = self._series
        return Method(
            kind=plan.kind,
            speed_mm_min=plan.speed_mm_min,
            temperature_c=plan.air.temperature_c,
            humidity_pct=plan.air.humidity_pct,
            operator=plan.operator,
        )

    def _plan(self) -> str:
        if self._series.speed_mm_min is None:
            return super()._plan()
        return wording.PULL_PLAN.format(gauge=self._series.gauge_length_mm, speed=self._series.speed_mm_min)

    def action_back(self) -> None:
        """Back to the strand."""
        self.bench_app.go("series_strand")

    def ended(self, outcome: PullOutcome) -> None:
        """Keep it in the series, and see how much better its mean is known."""
        how = partial(with_pull, strand=self._strand, recording=str(outcome.path), at=now())
        problem = self.bench_app.series.change(how)
        self.bench_app.go("series", problem, "" if outcome.as_planned else outcome.message)
