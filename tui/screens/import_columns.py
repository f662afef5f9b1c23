"""Which columns of a table hold force, extension and time, with its first rows in sight."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Input, Static

from tui import wording
from tui import wording_library as words
from tui.library.mapping import Mapping, guessed, preview_rows
from tui.safe_text import clean
from tui.screens.frame import FrameScreen
from tui.screens.import_file import PreviewReady
from tui.widgets.choice import Choice
from tui.widgets.field import Field
from tui.widgets.row_list import RowList

if TYPE_CHECKING:
    from analysis.tables.read import TablePreview

#: Longest unit that is typed [characters].
LONGEST_UNIT = 12


class MappingReady(Message, bubble=False):
    """The table can be read with these columns."""

    def __init__(self, mapping: Mapping) -> None:
        super().__init__()
        self.mapping = mapping


class ImportColumnsScreen(FrameScreen):
    """Choose columns."""

    QUESTION = words.IMPORT_COLUMNS_QUESTION
    CSS_PATH = "import_columns.tcss"
    ABOUT = "import_columns"
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "go_on", wording.GO_ON),
        Binding("down", "app.focus_next", wording.STRAND_MOVE, key_display="↑ ↓"),
        Binding("up", "app.focus_previous", wording.STRAND_MOVE, show=False),
        Binding("f2", "app.go('import_file')", wording.BACK),
    ]

    def __init__(self, path: Path, preview: TablePreview) -> None:
        super().__init__()
        self._path, self._preview = path, preview
        self._titles = [
            clean(words.COLUMN.format(number=number, title=title), 30)
            for number, title in zip(preview.numbers, preview.columns, strict=True)
        ]

    def parts(self) -> Iterable[Widget]:
        """The first rows, then what they hold."""
        preview = self._preview
        yield RowList(id="preview")
        with VerticalScroll(classes="scrolled", can_focus=False):
            if len(preview.sheets) > 1:
                here = preview.sheets.index(preview.sheet) if preview.sheet in preview.sheets else 0
                yield self._choice("sheet", words.IMPORT_SHEET, preview.sheets, here)
            guesses = guessed(preview)
            for key, label, guess in (
                ("force", words.IMPORT_FORCE, guesses.force),
                ("extension", words.IMPORT_EXTENSION, guesses.extension),
            ):
                yield self._choice(key, label, self._titles, guess)
                yield self._unit(key, label)
            yield self._choice("time", words.IMPORT_TIME, (words.IMPORT_NO_TIME, *self._titles), guesses.time)
            yield self._unit("time", words.IMPORT_TIME)

    def _choice(self, key: str, label: str, options: Sequence[str], here: int) -> Widget:
        choice = Choice(options, self.bench_app.signs, here=here, id=key)
        return Horizontal(Static(label, classes="field-label", markup=False), choice, classes="choice-line")

    def _unit(self, key: str, label: str) -> Field:
        return Field(
            f"{key}_unit", words.IMPORT_UNIT_LABEL.format(what=label), words.IMPORT_UNIT_HINT, check=unit_problem
        )

    def on_mount(self) -> None:
        """Show the first rows."""
        self.query_one("#force", Choice).focus()
        self.query_one(RowList).show(partial(preview_rows, self._preview))
        self.tell(clean(self._preview.problem, 300))
        self._show_units()

    def on_choice_changed(self, event: Choice.Changed) -> None:
        """Another sheet is another table; a column with a unit needs none typed."""
        if event.choice.id == "sheet":
            path, sheet = self._path, self._preview.sheets[event.choice.number]

            def work() -> PreviewReady:
                from analysis.tables.read import preview_table

                return PreviewReady(path, preview_table(path, sheet=sheet))

            self.background(work)
        self._show_units()

    def on_preview_ready(self, message: PreviewReady) -> None:
        """Ask about the other sheet."""
        self.bench_app.go("import_columns", message.path, message.preview)

    def _show_units(self) -> None:
        """Ask for a unit only where the title does not say it."""
        for key in ("force", "extension", "time"):
            number = self._chosen(key)
            self.query_one(f"#{key}_unit").display = number is not None and not self._preview.units[number]

    def _chosen(self, key: str) -> int | None:
        """Which column is chosen, from 0; None for no time."""
        number = self.query_one(f"#{key}", Choice).number
        return (number - 1 if number else None) if key == "time" else number

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Enter goes on from every line."""
        self.action_go_on()

    def action_go_on(self) -> None:
        """Try to read the whole table so."""
        fields = [field for field in self.query(Field) if field.display and not field.judge()]
        if fields:
            fields[0].input.focus()
            return
        if self._chosen("force") == self._chosen("extension"):
            self.tell(words.IMPORT_SAME, bad=True)
            return
        mapping, path = self._mapping(), self._path
        self.tell(words.IMPORT_READING.format(name=clean(path.name)))

        def work() -> MappingReady:
            mapping.check(path)
            return MappingReady(mapping)

        self.background(work)

    def _mapping(self) -> Mapping:
        columns = {key: self._column(key) for key in ("force", "extension", "time")}
        several = len(self._preview.sheets) > 1
        force, extension = columns["force"], columns["extension"]
        assert force is not None
        assert extension is not None
        return Mapping(force, extension, columns["time"], self._preview.sheet if several else None)

    def _column(self, key: str) -> str | None:
        """A column as the reader takes it: its number, with a unit where it was typed."""
        number = self._chosen(key)
        if number is None:
            return None
        unit = "" if self._preview.units[number] else self.query_one(f"#{key}_unit", Field).value
        return f"{self._preview.numbers[number]} [{unit}]" if unit else str(self._preview.numbers[number])

    def on_mapping_ready(self, message: MappingReady) -> None:
        """It can be read: which strand was it?"""
        self.bench_app.go("import_strand", self._path, message.mapping)


def unit_problem(text: str) -> str:
    """What is wrong with a typed unit; whether it is one is said by the reader."""
    return wording.TEXT_TOO_LONG.format(longest=LONGEST_UNIT) if len(text) > LONGEST_UNIT else ""
