"""Which version of the program this is."""

from __future__ import annotations


def version() -> str:
    """The version of the installed package; a word where it runs from a folder without having been installed."""
    from importlib.metadata import PackageNotFoundError
    from importlib.metadata import version as installed

    try:
        return installed("strandbench")
    except PackageNotFoundError:
        return "(not installed)"
