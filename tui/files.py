"""File names as people type them: patterns are expanded where the shell has not done it (as on Windows)."""

from __future__ import annotations

import glob
from collections.abc import Iterable
from pathlib import Path


def expanded(names: Iterable[str]) -> list[Path]:
    """The files meant, in the order given; a pattern that fits nothing stays as it is, to be complained about."""
    paths: list[Path] = []
    for name in names:
        is_pattern = any(sign in name for sign in "*?[") and not Path(name).exists()
        found = sorted(glob.glob(name)) if is_pattern else []  # noqa: PTH207 - patterns may be absolute
        paths += [Path(one) for one in found or [name]]
    return paths
