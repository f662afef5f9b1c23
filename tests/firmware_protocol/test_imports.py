"""The wire knows no ports, clocks or threads, and only its bulk decoder needs numpy."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import firmware_protocol

PACKAGE = Path(firmware_protocol.__file__).parent
#: Made only for who changes the table: they may read and write the files they make.
TOOLS = {"cheader", "document"}
FORBIDDEN = {"time", "datetime", "threading", "asyncio", "socket", "select", "os", "io", "pathlib", "serial"}


def imported_by(path: Path) -> set[str]:
    names = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            names.update(alias.name.split(".")[0] for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            names.add((node.module or "").split(".")[0])
    return names


def test_no_module_knows_ports_clocks_threads_or_files() -> None:
    modules = [path for path in PACKAGE.glob("*.py") if path.stem not in TOOLS]
    assert len(modules) > 10
    assert {path.stem: imported_by(path) & FORBIDDEN for path in modules if imported_by(path) & FORBIDDEN} == {}


def test_only_the_bulk_decoder_needs_numpy() -> None:
    others = sorted(path.stem for path in PACKAGE.glob("*.py") if path.stem not in {"bulk", "__init__"})
    lines = [f"import firmware_protocol.{name}" for name in others]
    program = "\n".join(["import sys", *lines, "assert 'numpy' not in sys.modules"])
    subprocess.run([sys.executable, "-c", program], check=True, cwd=PACKAGE.parent)
