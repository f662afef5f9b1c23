"""The base of the widgets that draw themselves, row by row, as spans with roles."""

from __future__ import annotations

from collections.abc import Sequence

from rich.segment import Segment
from rich.style import Style
from textual.strip import Strip
from textual.widget import Widget

from tui.looks import style_of
from tui.palettes import PALETTES, PEAT
from tui.widgets.cells import Span


class Painted(Widget):
    """A widget whose rows come from `row`; looks follow the palette."""

    def __init__(self, *, id: str | None = None, classes: str | None = None) -> None:
        super().__init__(id=id, classes=classes)
        self._styles_by_role: dict[str, Style] = {}

    def row(self, y: int) -> Sequence[Span]:
        """The spans of one row of the widget's content, from the top."""
        raise NotImplementedError

    def render_line(self, y: int) -> Strip:
        """One row for the screen, cut or filled to the widget's width."""
        segments = [Segment(text, self._style(role)) for text, role in self.row(y)]
        return Strip(segments).adjust_cell_length(self.size.width, self._style("blank"))

    def _style(self, role: str) -> Style:
        if role not in self._styles_by_role:
            palette = PALETTES.get(self.app.theme, PEAT)
            ground = self.background_colors[1]
            self._styles_by_role[role] = style_of(role, palette, ground.hex6 if ground.a else palette.ground)
        return self._styles_by_role[role]

    def notify_style_update(self) -> None:
        """Forget the looks: the theme or the ground has changed."""
        super().notify_style_update()
        self._styles_by_role.clear()
