"""The first picture: drawn at once, before the screen library is loaded, where it is drawn anew by the app itself.

Loading the library takes longer than a person takes for "at once". Knows the palettes and the words, and writes
plain terminal codes (ECMA-48); imports nothing that takes time.
"""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from typing import TYPE_CHECKING

from tui import wording
from tui.looks import LOOKS
from tui.palettes import Palette, first_palette
from tui.widgets.cells import Span
from tui.widgets.signs import app_stream, terminal_signs
from tui.widgets.trail_text import trail_spans

if TYPE_CHECKING:
    from rig.simulated.settings import SimulationSettings

#: The other screen of the terminal, without a cursor, cleared; the app leaves it again when it ends.
OTHER_SCREEN = "\x1b[?1049h\x1b[?25l\x1b[2J\x1b[H"

#: Back to the terminal as it was.
FIRST_SCREEN = "\x1b[0m\x1b[?25h\x1b[?1049l"

#: A window smaller than this holds nothing but a sentence, which is the app's to say.
LEAST_COLUMNS, LEAST_ROWS = 60, 16

#: Rows of the frame: trail and rig are next to each other at the top, the question follows after a free row.
RIG_ROW, QUESTION_ROW = 2, 4


def open_app(port: str | None = None, directory: Path | None = None, demo: SimulationSettings | None = None) -> int:
    """Open the app, with something to look at from the first moment; the exit status. As `app.run_app`."""
    stream = app_stream()
    drawn = stream is not None and stream.isatty()
    try:
        if drawn and stream is not None:
            columns, rows = shutil.get_terminal_size()
            stream.write(opening(columns, rows, first_palette(dict(os.environ))))
            stream.flush()
        from tui.app import run_app
    except BaseException:
        if drawn and stream is not None:
            stream.write(FIRST_SCREEN)
        raise
    return run_app(port, directory, demo)


def opening(columns: int, rows: int, palette: Palette) -> str:
    """The picture as text with terminal codes; only its ground where there is no room for more."""
    grounds = OTHER_SCREEN + _filled(rows, columns, palette)
    if columns < LEAST_COLUMNS or rows < LEAST_ROWS:
        return grounds
    trail = "".join(_painted(span, palette) for span in trail_spans(-1, terminal_signs()))
    return "".join(
        (
            grounds,
            f"\x1b[1;2H{trail}",
            f"\x1b[{RIG_ROW};2H{_code(palette, 'quiet', 'raised')}{wording.NO_RIG}",
            f"\x1b[{QUESTION_ROW};3H{_code(palette, 'quiet', 'ground')}{wording.OPENING}",
            f"\x1b[{rows};2H{_code(palette, 'ink', 'raised')}{wording.KEY_STOP}  {wording.STOP_STILL}",
            "\x1b[0m",
        )
    )


def _filled(rows: int, columns: int, palette: Palette) -> str:
    """The grounds of the frame: two rows above, one below, the rest between them."""
    raised, ground = _code(palette, "ink", "raised"), _code(palette, "ink", "ground")
    lines = [raised] * 2 + [ground] * (rows - 3) + [raised]
    return "".join(f"\x1b[{row};1H{code}{' ' * columns}" for row, code in enumerate(lines, 1))


def _painted(span: Span, palette: Palette) -> str:
    look = LOOKS[span.role]
    return _code(palette, look.colour, look.ground or "raised") + span.text


def _code(palette: Palette, colour: str, ground: str) -> str:
    """The codes for a sign's colour and its ground; none where the palette leaves them to the terminal."""
    if palette.is_bare:
        return "\x1b[0m"
    return f"\x1b[0;{_rgb(38, palette.colour(colour))};{_rgb(48, palette.colour(ground))}m"


def _rgb(kind: int, colour: str) -> str:
    red, green, blue = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
    return f"{kind};2;{red};{green};{blue}"
