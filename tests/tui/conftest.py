"""Fixtures for the command line and the app."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.tui.command_line import cli

__all__ = ["cli"]


@pytest.fixture(autouse=True)
def own_home(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """What the program keeps stands apart from the things of whoever runs the tests."""
    home = tmp_path_factory.mktemp("home")
    monkeypatch.setenv("STRANDBENCH_HOME", str(home))
    return home
