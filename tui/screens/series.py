"""A series on its way: which strand is next and why, how well each group's mean is known, and when it is enough."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static

from tui import wording
from tui import wording_lab as words
from tui.lab.air import air_problem, air_text
from tui.lab.plan import Plan, Stray, last_pull, next_strand, one_more, undo, with_strays
from tui.screens.series_frame import SeriesFrame
from tui.widgets.cells import Span
from tui.widgets.row_list import RowList

if TYPE_CHECKING:
    from tui.lab.progress import Standing


class StraysRead(Message, bubble=False):
    """Recordings that a killed program left behind."""

    def __init__(self, strays: tuple[Stray, ...]) -> None:
        super().__init__()
        self.strays = strays


class StandingReady(Message, bubble=False):
    """Where the series stands."""

    def __init__(self, standing: Standing) -> None:
        super().__init__()
        self.standing = standing


class SeriesScreen(SeriesFrame):
    """The next strand."""

    STEP = 4
    CSS_PATH = "series.tcss"
    ABOUT = "series"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "mount", words.MOUNT),
        Binding("r", "reject", words.REJECT),
        Binding("u", "undo", words.UNDO),
        Binding("c", "app.go('series_air')", words.AIR),
        Binding("m", "one_more", words.ONE_MORE),
        Binding("o", "open_last", words.LAST_RESULT),
        Binding("f2", "app.go('series_list')", wording.BACK),
        Binding("q", "app.leave", wording.LEAVE, show=False),
    ]

    def __init__(self, problem: str = "", said: str = "") -> None:
        super().__init__()
        self._problem, self._said = problem, said

    def parts(self) -> Iterable[Widget]:
        """Why this strand, the air, and the groups."""
        yield Static("", id="why", markup=False)
        yield Static("", id="air", markup=False)
        with VerticalScroll(id="groups", classes="scrolled"):
            yield RowList(id="intervals")
            yield Static(words.INTERVAL_ABOUT, classes="remark", markup=False)

    def on_mount(self) -> None:
        """Look for what was left behind, then say where the series stands."""
        self._show_next()
        plan, folder = self.plan, self.bench_app.bench.directory

        def work() -> StraysRead:
            from tui.lab.shelf import strays

            return StraysRead(strays(plan, folder))

        self.background(work)

    def on_strays_read(self, message: StraysRead) -> None:
        """Take in what was left behind."""
        before = len(self.plan.pulls)
        if message.strays:
            self._problem = self.change(partial(with_strays, strays=message.strays)) or self._problem
        found = len(self.plan.pulls) - before
        if found:
            self._said = words.FOUND_AGAIN_ONE if found == 1 else words.FOUND_AGAIN.format(count=found)
        self._show_next()
        self._work_out()

    def _work_out(self) -> None:
        plan, results = self.plan, self.desk.results
        self._tell(words.WORKING if plan.pulls else "")

        def work() -> StandingReady:
            from tui.lab.progress import standing

            return StandingReady(standing(plan, results))

        self.background(work)

    def on_standing_ready(self, message: StandingReady) -> None:
        """Show the groups."""
        from tui.lab.interval_rows import rows_of

        standing, signs = message.standing, self.bench_app.signs
        strand = next_strand(self.plan)
        here = strand.group if strand is not None else None

        def rows(width: int) -> Sequence[Sequence[Span]]:
            return rows_of(standing.lines, here, standing.guideline_pct, signs, width)

        self.query_one(RowList).show(rows)
        self._tell(standing.last)

    def _tell(self, more: str) -> None:
        """What was said on coming here stays, what could not be kept before all."""
        self.tell(" ".join(filter(None, (self._problem, self._said, more))), bad=bool(self._problem))

    def _show_next(self) -> None:
        plan, strand = self.plan, next_strand(self.plan)
        if strand is None:
            self.ask(words.DONE_QUESTION)
            self.query_one("#why", Static).update(words.DONE_WHY)
        else:
            group = plan.groups[strand.group].name
            self.ask(
                words.NEXT_QUESTION.format(number=strand.number, count=plan.strands, group=group, zone=strand.zone)
            )
            self.query_one("#why", Static).update(words.NEXT_WHY.format(why=strand.why))
        problem = air_problem(plan.air)
        air = self.query_one("#air", Static)
        air.update(problem or words.AIR_GOOD.format(air=air_text(plan.air)))
        air.set_class(bool(problem), "-outside")
        self.refresh_bindings()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Only what can be done now is offered."""
        if action == "mount":
            return next_strand(self.plan) is not None
        if action in ("reject", "undo"):
            return bool(self.plan.steps)
        return bool(self.plan.pulls) if action == "open_last" else True

    def action_mount(self) -> None:
        """Go on to the strand; first the stage moves back."""
        bench = self.bench_app.bench
        away = bench.stretcher is not None and bench.must_move_back
        self.bench_app.go_with_rig("series_back" if away else "series_strand")

    def action_reject(self) -> None:
        """Ask why the last pull does not count."""
        if last_pull(self.plan) is None:
            self.tell(words.NOTHING_TO_REJECT, bad=True)
        else:
            self.bench_app.go("series_reject")

    def action_undo(self) -> None:
        """Take the last step back."""
        self._change(undo, words.UNDONE)

    def action_one_more(self) -> None:
        """Plan one strand more for each group."""
        self._change(one_more, "")

    def _change(self, how: Callable[[Plan], Plan], said: str) -> None:
        problem = self.change(how)
        if problem is not None:
            self._problem, self._said = problem, said
            self._show_next()
            self._work_out()

    def action_open_last(self) -> None:
        """Look at the result of the last pull."""
        self.bench_app.go("result", Path(self.plan.pulls[-1].recording))
