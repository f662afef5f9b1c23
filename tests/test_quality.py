"""The project's own checks as tests: lint, format, types, import contracts, size budget, what must not be said."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
PACKAGES = ("firmware_protocol", "rig", "analysis", "recordings", "tui")
#: Longest file and longest function (without its docstring) of the packages, in lines.
MAX_FILE_LINES = 250
MAX_FUNCTION_LINES = 50


def run(*arguments: str) -> str:
    done = subprocess.run(
        [sys.executable, "-m", *arguments], cwd=ROOT, capture_output=True, text=True, check=False, encoding="utf-8"
    )
    return "" if done.returncode == 0 else done.stdout + done.stderr


def package_files() -> list[Path]:
    return [path for package in PACKAGES for path in sorted((ROOT / package).rglob("*.py"))]


def test_lint() -> None:
    assert run("ruff", "check", ".") == ""


def test_format() -> None:
    assert run("ruff", "format", "--check", ".") == ""


def test_types() -> None:
    assert run("mypy") == ""


def test_import_contracts() -> None:
    script = "import sys; from importlinter.cli import lint_imports; sys.exit(lint_imports())"
    done = subprocess.run([sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


@pytest.mark.parametrize("path", package_files(), ids=lambda p: str(p.relative_to(ROOT)))
def test_size_budget(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text)
    assert ast.get_docstring(tree), "every module says what it owns"
    assert len(text.splitlines()) <= MAX_FILE_LINES
    too_long = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            body = node.body[1:] if ast.get_docstring(node) else node.body
            length = (node.end_lineno or 0) - body[0].lineno + 1 if body else 0
            if length > MAX_FUNCTION_LINES:
                too_long[node.name] = length
    assert too_long == {}


def test_only_tui_reaches_the_simulated_rig() -> None:
    outside = [path for path in package_files() if "simulated" not in path.parts]
    users = [
        str(path.relative_to(ROOT))
        for path in outside
        if re.search(r"^\s*(from|import) rig\.simulated", path.read_text(encoding="utf-8"), re.MULTILINE)
        and (ROOT / "tui") not in path.parents
    ]
    assert users == []


def test_nothing_foreign_in_the_tree() -> None:
    listed = subprocess.run(["git", "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=False)
    if listed.returncode != 0:
        pytest.skip("not a git checkout")
    # Written in pieces, so that this file does not find itself.
    words = ["/wor" + "k/", "py" + "pi.org", "python" + "hosted", "npm" + "js", "seed " + "document"]
    pattern = re.compile("|".join(map(re.escape, words)), re.IGNORECASE)
    found = []
    for name in filter(None, listed.stdout.split("\0")):
        path = ROOT / name
        if path.is_file() and path.suffix not in {".svg", ".png"}:
            for number, line in enumerate(path.read_text(encoding="utf-8", errors="replace").splitlines(), 1):
                if pattern.search(line):
                    found.append(f"{name}:{number}: {line.strip()[:80]}")
    assert found == []
