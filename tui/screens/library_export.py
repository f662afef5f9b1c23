"""Into which file the chosen recordings go: a table, or a figure, by the ending of its name."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Input

from tui import wording
from tui import wording_library as words
from tui.messages import WentWrong
from tui.safe_text import clean
from tui.screens.frame import FrameScreen
from tui.widgets.field import Field

if TYPE_CHECKING:
    from tui.library.export import Exported

#: Longest path that is shown [characters].
LONGEST_PATH = 200


class ExportStep(Message, bubble=False):
    """So many are done."""

    def __init__(self, done: int) -> None:
        super().__init__()
        self.done = done

    def can_replace(self, message: Message) -> bool:
        """A newer one says the same and more."""
        return isinstance(message, ExportStep)


class ExportDone(Message, bubble=False):
    """The file is written."""

    def __init__(self, made: Exported) -> None:
        super().__init__()
        self.made = made


class LibraryExportScreen(FrameScreen):
    """Name a file."""

    ABOUT = "library_export"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", words.EXPORT),
        Binding("f2", "app.go('library')", wording.BACK),
    ]

    def __init__(self) -> None:
        super().__init__()
        self._paths: list[Path] = []
        self._working = False

    def parts(self) -> Iterable[Widget]:
        """The line to type into."""
        name = self.bench_app.bench.directory / f"results-{datetime.now():%Y-%m-%d-%H%M%S}.xlsx"
        yield Field("file", words.EXPORT_LABEL, words.EXPORT_HINT, str(name), problem)

    def on_mount(self) -> None:
        """Begin to type."""
        self._paths = self.bench_app.library.chosen()
        self.ask(words.EXPORT_QUESTION.format(count=len(self._paths)))
        self.query_one(Field).input.focus()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Export."""
        self.action_go_on()

    def action_go_on(self) -> None:
        """Work the results out and write the file."""
        field = self.query_one(Field)
        if self._working or not field.judge():
            return
        self._working = True
        paths, target = self._paths, Path(field.value).expanduser()
        folder = self.bench_app.bench.directory
        self.tell(words.EXPORT_WORKING.format(done=0, count=len(paths)))

        def tell(done: int) -> None:
            self.post_message(ExportStep(done))

        def work() -> ExportDone:
            from tui.lab.shelf import reasons_set_aside
            from tui.library.export import Beside, export
            from tui.library.imports import imported
            from tui.library.tags import all_tags

            return ExportDone(
                export(paths, target, tell, Beside(all_tags(), reasons_set_aside(), imported(folder)))
            )

        self.background(work)

    def on_export_step(self, message: ExportStep) -> None:
        """Say how far it is."""
        if self._working:
            self.tell(words.EXPORT_WORKING.format(done=message.done, count=len(self._paths)))

    def on_export_done(self, message: ExportDone) -> None:
        """Say where it is."""
        self._working = False
        made = message.made
        sentence = words.EXPORT_DONE_SOME if made.problems else words.EXPORT_DONE
        path = clean(str(made.path), LONGEST_PATH)
        self.tell(sentence.format(count=made.count, path=path, failed=len(made.problems)))

    def failed(self, message: WentWrong) -> None:
        """It was not written, and why."""
        self._working = False
        super().failed(message)


def problem(text: str) -> str:
    """What is wrong with the name of a file, before anything is worked out."""
    from tui.failure import sentence
    from tui.library.export import check_target

    if not text.strip():
        return words.EXPORT_EMPTY
    try:
        check_target(Path(text.strip()).expanduser())
    except Exception as trouble:
        return sentence(trouble)
    return ""
