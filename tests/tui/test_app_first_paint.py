"""What the app loads before its first screen is there: nothing that computes, since nobody waits for that."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

#: Libraries that take long to load; a person who opens the app needs none of them yet.
HEAVY = ("numpy", "scipy", "pandas", "matplotlib", "openpyxl", "serial")

SHOW_THE_FIRST_SCREEN = """
import asyncio, sys
from pathlib import Path
import tui.__main__, tui.opening
from tui.app import StrandbenchApp
from tui.bench import Bench

async def look() -> None:
    app = StrandbenchApp(Bench(Path("nowhere")))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        assert app.screen.query("#question"), app.screen
        print(*sorted(set(sys.argv[1:]) & set(sys.modules)))

asyncio.run(look())
"""

DRAW_THE_FIRST_PICTURE = """
import sys
import tui.__main__
from tui.opening import opening
from tui.palettes import PEAT
opening(80, 24, PEAT)
print(*sorted(set(sys.argv[1:]) & set(sys.modules)))
"""


def loaded(script: str, *watched: str) -> list[str]:
    """Which of the watched modules a fresh interpreter has loaded at the end of a script."""
    done = subprocess.run(
        [sys.executable, "-c", script, *watched], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.split()


def test_the_first_screen_loads_nothing_heavy() -> None:
    assert loaded(SHOW_THE_FIRST_SCREEN, *HEAVY) == []


def test_the_first_picture_is_drawn_before_the_screen_library_is_loaded() -> None:
    assert loaded(DRAW_THE_FIRST_PICTURE, "textual", "rich", "asyncio", *HEAVY) == []
