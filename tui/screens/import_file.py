"""Which table of another program is imported."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Input

from tui import wording
from tui import wording_library as words
from tui.safe_text import clean
from tui.screens.frame import FrameScreen
from tui.widgets.field import Field

if TYPE_CHECKING:
    from analysis.tables.read import TablePreview


class PreviewReady(Message, bubble=False):
    """The first rows of the table are known."""

    def __init__(self, path: Path, preview: TablePreview) -> None:
        super().__init__()
        self.path, self.preview = path, preview


class ImportFileScreen(FrameScreen):
    """Name the file."""

    QUESTION = words.IMPORT_FILE_QUESTION
    ABOUT = "import_file"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", wording.GO_ON),
        Binding("f2", "app.go('library')", wording.BACK),
    ]

    def parts(self) -> Iterable[Widget]:
        """The line to type into."""
        yield Field("file", words.IMPORT_FILE_LABEL, words.IMPORT_FILE_HINT, check=problem)

    def on_mount(self) -> None:
        """Begin to type."""
        self.query_one(Field).input.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Read it."""
        self.action_go_on()

    def action_go_on(self) -> None:
        """Read the first rows."""
        field = self.query_one(Field)
        if not field.judge():
            return
        path = Path(field.value).expanduser().absolute()
        self.tell(words.IMPORT_READING.format(name=clean(path.name)))

        def work() -> PreviewReady:
            from analysis.tables.read import preview_table

            return PreviewReady(path, preview_table(path))

        self.background(work)

    def on_preview_ready(self, message: PreviewReady) -> None:
        """Go on to its columns."""
        if message.preview.columns:
            self.bench_app.go("import_columns", message.path, message.preview)
        else:
            self.tell(words.IMPORT_NO_COLUMNS.format(name=message.preview.name), bad=True)


def problem(text: str) -> str:
    """What is wrong with the name of a file."""
    return "" if text.strip() else words.IMPORT_FILE_EMPTY
