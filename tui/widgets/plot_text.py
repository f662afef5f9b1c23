"""The rows of text around a plot's field: caption, legend, x axis with its labels, and the names of regions."""

from __future__ import annotations

from tui.widgets.cells import Cells
from tui.widgets.picture import Band, Picture
from tui.widgets.plot_frame import LONGEST_NAME, Frame, column_of
from tui.widgets.signs import Signs
from tui.widgets.ticks import decimals_of, tick_text


def caption(picture: Picture, frame: Frame, signs: Signs) -> Cells:
    """What runs upwards, the value under the cursor, and the guideline's label above its line."""
    cells = Cells(frame.width)
    cells.put(0, picture.y_axis.text, "title")
    reading = cursor_reading(picture, frame)
    cells.put(frame.width - len(reading) - 1, reading, "reading")
    guide = picture.guideline
    column = column_of(frame, picture, guide.x) if guide else None
    if guide is None or column is None:
        return cells
    at = frame.left + column
    label = f"{signs.pointer} {guide.label}"
    for text, start in ((label, at), (f"{guide.label} {signs.pointer}", at - len(label) + 1), (signs.pointer, at)):
        if cells.free(start - 1, start + len(text) + 1):
            cells.put(start, text, "guide")
            break
    return cells


def cursor_reading(picture: Picture, frame: Frame) -> str:
    """The values of the point under the cursor, to what the window can resolve."""
    cursor = picture.cursor
    if cursor is None or not cursor.line < len(picture.lines):
        return ""
    line = picture.lines[cursor.line]
    if not cursor.point < len(line.points):
        return ""
    x_places, y_places = decimals_of(frame.x_step) + 1, decimals_of(frame.y_step) + 2
    x, y = line.points.x[cursor.point], line.points.y[cursor.point]
    name = f"{_short(line.name, '…')}: " if len(picture.lines) > 1 else ""
    return f"{name}{x:.{x_places}f} {picture.x_axis.unit}   {y:.{y_places}f} {picture.y_axis.unit}"


def legend(picture: Picture, frame: Frame, signs: Signs) -> Cells:
    """The names of the curves in one row above everything, each after a piece of its line."""
    cells = Cells(frame.width)
    room = max(4, frame.width // len(picture.lines) - 6)
    column = 1
    for number, line in enumerate(picture.lines):
        cells.put(column, signs.sample(number), f"line{number % 4}")
        name = _short(line.name, signs.more, min(room, LONGEST_NAME))
        cells.put(column + 4, name, "label")
        column += 4 + len(name) + 2
    return cells


def x_axis(frame: Frame, picture: Picture, signs: Signs) -> Cells:
    """The line under the field, with its ticks."""
    cells = Cells(frame.width)
    cells.put(frame.left - 1, signs.corner + signs.level * frame.columns, "axis")
    for value in frame.x_ticks:
        column = column_of(frame, picture, value)
        if column is not None:
            cells.put(frame.left + column, signs.tick_below, "axis")
    return cells


def x_labels(frame: Frame, picture: Picture) -> Cells:
    """What runs along x, at the right, and the round values at their ticks as far as there is room."""
    cells = Cells(frame.width)
    title = picture.x_axis.text
    cells.put(frame.width - len(title) - 1, title, "title")
    for value in frame.x_ticks:
        column = column_of(frame, picture, value)
        text = tick_text(value, frame.x_step)
        start = frame.left + (column or 0) - len(text) // 2
        if column is not None and cells.free(start - 1, start + len(text) + 1):
            cells.put(start, text, "label")
    return cells


def band_names(frame: Frame, picture: Picture, signs: Signs) -> Cells:
    """The names of the regions under their part of the x axis, as long as that part where it is long enough."""
    cells = Cells(frame.width)
    free_from = frame.left
    for number, band in enumerate(picture.bands):
        span = _columns(band, frame, picture)
        if span is None:
            continue
        start, end = max(span[0], free_from), span[1]
        text = _band_text(band.name, end - start, signs)
        if start + len(text) > frame.width:
            continue
        cells.put(start, text, f"band{number % 3}")
        free_from = start + len(text) + (0 if len(text) == end - start else 1)
    return cells


def _columns(band: Band, frame: Frame, picture: Picture) -> tuple[int, int] | None:
    """From and up to which column of the row a band reaches; None where it is outside the window."""
    window = picture.window
    if band.end <= window.x_low or band.start >= window.x_high:
        return None
    first = column_of(frame, picture, max(band.start, window.x_low))
    last = column_of(frame, picture, min(band.end, window.x_high))
    if first is None or last is None:
        return None
    return frame.left + first, frame.left + max(last, first + 1)


def _band_text(name: str, room: int, signs: Signs) -> str:
    """A name between ends, stretched to `room`; the name alone where it does not fit."""
    if room < len(name) + 4:
        return name
    filled = f" {name} ".center(room - 2, signs.band_fill)
    return signs.band_left + filled + signs.band_right


def _short(name: str, more: str, longest: int = LONGEST_NAME) -> str:
    """A name cut to `longest`."""
    return name if len(name) <= longest else name[: longest - 1] + more
