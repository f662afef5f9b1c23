"""Where open measurements of others lie, for the tests that read them; those skip where there are none."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
VARIABLE = "STRANDBENCH_OPENDATA"


def open_data(folder: str) -> Path:
    """The folder of one data set; skips the test where it is absent."""
    named = os.environ.get(VARIABLE)
    path = (Path(named) if named else ROOT.parent / "shared/opendata") / folder
    if not path.is_dir():
        pytest.skip(f"the open data set {folder} is not here; {VARIABLE} names the folder that holds it")
    return path
