"""Fixtures for the command line and the app."""

from __future__ import annotations

from tests.tui.command_line import cli

__all__ = ["cli"]
