"""DEVELOPERS.md against the code: every file, function, module and package it names exists."""

from __future__ import annotations

import ast
import importlib.util
import re
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
FLOW = TEXT.split("## Code flow of one pull")[1].split("\n## ")[0]


def names_in(path: Path) -> set[str]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return {n.name for n in ast.walk(tree) if isinstance(n, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef)}


@pytest.mark.parametrize("path", sorted(set(re.findall(r"`([a-z_./]+/[a-z_./]*)`", TEXT))))
def test_every_path_exists(path: str) -> None:
    assert (ROOT / path).exists()


@pytest.mark.parametrize(("path", "name"), re.findall(r"`([a-z_/]+\.py)`[ ,(\n]+`([a-z_]+)`", FLOW))
def test_every_step_of_the_flow_names_a_function_of_its_file(path: str, name: str) -> None:
    assert name in names_in(ROOT / path)


def test_the_flow_is_told_with_files() -> None:
    assert len(re.findall(r"`[a-z_/]+\.py`", FLOW)) > 15


@pytest.mark.parametrize("module", sorted(set(re.findall(r"`python -m ([a-z_.]+) ?(?:--write)?`", TEXT))))
def test_every_script_can_be_found(module: str) -> None:
    assert importlib.util.find_spec(module) is not None


def test_every_dependency_is_explained() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    wanted = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    section = TEXT.split("## Packages and why")[1].split("\n## ")[0]
    missing = [name for spec in wanted if (name := re.split(r"[<>=\[]", spec)[0]) not in section]
    assert missing == []


def test_every_room_has_its_line() -> None:
    section = TEXT.split("## Where does this code belong?")[1].split("\n## ")[0]
    for room in ("firmware_protocol", "rig", "recordings", "analysis", "tui"):
        assert f"`{room}/`" in section


def test_the_pins_carry_no_address() -> None:
    pins = (ROOT / "pins.txt").read_text(encoding="utf-8")
    assert "://" not in pins
    assert all(
        re.fullmatch(r"[A-Za-z0-9_.-]+==\S+", line) for line in pins.splitlines() if not line.startswith("#")
    )


def test_every_package_is_installed() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    rooms = ("firmware_protocol", "rig", "analysis", "recordings", "tui")
    found = {
        ".".join(init.parent.relative_to(ROOT).parts)
        for room in rooms
        for init in (ROOT / room).rglob("__init__.py")
    }
    assert set(project["tool"]["setuptools"]["packages"]) == found


def test_every_pinned_version_satisfies_the_project() -> None:
    from packaging.requirements import Requirement

    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    lines = [line for line in (ROOT / "pins.txt").read_text(encoding="utf-8").splitlines() if "==" in line]
    pins = {name.lower().replace("_", "-"): version for name, version in (line.split("==") for line in lines)}
    for spec in [*project["dependencies"], *project["optional-dependencies"]["test"]]:
        requirement = Requirement(spec)
        assert pins[requirement.name.lower()] in requirement.specifier, spec
