"""Which strand an imported table is of; then it is kept in the library, and its result is shown."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Input

from tui import wording
from tui import wording_library as words
from tui.library.imports import keep_import
from tui.screens.frame import FrameScreen
from tui.store.place import StoreProblem
from tui.strand_form import USUAL_GAUGE_LENGTH, diameter_problem, gauge_length_problem, number
from tui.widgets.field import Field

if TYPE_CHECKING:
    from tui.library.mapping import Mapping


class ImportStrandScreen(FrameScreen):
    """Say what the table does not."""

    QUESTION = words.IMPORT_STRAND_QUESTION
    ABOUT = "import_strand"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", wording.GO_ON),
        Binding("down", "app.focus_next", wording.STRAND_MOVE, key_display="↑ ↓"),
        Binding("up", "app.focus_previous", wording.STRAND_MOVE, show=False),
        Binding("f2", "app.go('import_file')", wording.BACK),
    ]

    def __init__(self, path: Path, mapping: Mapping) -> None:
        super().__init__()
        self._path, self._mapping = path, mapping

    def parts(self) -> Iterable[Widget]:
        """The lines to type into."""
        gauge = (wording.STRAND_GAUGE, wording.STRAND_GAUGE_HINT, USUAL_GAUGE_LENGTH, gauge_length_problem)
        yield Field("gauge", *gauge)
        yield Field("diameter", wording.STRAND_DIAMETER, wording.STRAND_DIAMETER_HINT, check=diameter_problem)

    def on_mount(self) -> None:
        """Begin at the top."""
        self.query(Field).first().input.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter goes on from both lines."""
        self.action_go_on()

    def action_go_on(self) -> None:
        """Keep how the table is read, and show its result."""
        wrong = [field for field in self.query(Field) if not field.judge()]
        if wrong:
            wrong[0].input.focus()
            self.tell(wording.STRAND_FIX, bad=True)
            return
        gauge_length_mm = number(self.query_one("#gauge", Field).value)
        assert gauge_length_mm is not None
        diameter_um = number(self.query_one("#diameter", Field).value)
        folder = self.bench_app.bench.directory
        try:
            keep_import(self._mapping.of(folder, self._path, gauge_length_mm, diameter_um))
        except StoreProblem as trouble:
            self.tell(f"{trouble}.", bad=True)
            return
        self.bench_app.go("result", self._path, words.IMPORT_DONE)
