"""The build guide says what firmware and program say: pins, functions of the thin layer, measures, sentences."""

from __future__ import annotations

import ast
import functools
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest

ROOT = Path(__file__).parents[2]
FIRMWARE = ROOT / "firmware_protocol"
GUIDE = FIRMWARE / "BUILD_GUIDE.md"
BOARD = FIRMWARE / "board"
SAYING_PACKAGES = ("firmware_protocol", "rig", "tui")


def guide() -> str:
    return GUIDE.read_text(encoding="utf-8")


def section(title: str) -> str:
    return guide().split(f"\n## {title}\n")[1].split("\n## ")[0]


def rows(title: str) -> list[list[str]]:
    lines = [line for line in section(title).splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:]]


def defined(name: str) -> int:
    found = re.search(
        rf"#define {name} +(?:UINT32_C\()?(\w+)", (BOARD / "board_config.h").read_text(encoding="utf-8")
    )
    assert found, name
    return int(found[1])


@functools.cache
def sentences() -> str:
    """Every text constant of the program, one a line; the constant parts of f-strings too."""
    said: list[str] = []
    for package in SAYING_PACKAGES:
        for path in (ROOT / package).rglob("*.py"):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Constant) and isinstance(node.value, str):
                    said.append(node.value)
    return "\n".join(said)


def test_wiring_is_that_of_the_firmware() -> None:
    pins = dict(re.findall(r"#define (\w+) (P[BD]\d)", (BOARD / "avr" / "pins.h").read_text(encoding="utf-8")))
    told = {name: pin for pin, _, name, _ in rows("Wiring") if name}
    assert told == pins
    # Sockets of the usual boards: port D counts from 0, port B from 8 (common practice, no source).
    for pin, number, name, _ in rows("Wiring"):
        if name:
            assert int(number) == int(pin[2]) + (8 if pin[1] == "B" else 0)


def test_measures_are_those_of_the_firmware() -> None:
    assert "200 × 16 / 4 = **800 steps/mm**" in guide()
    assert defined("STEPS_PER_M") == 200 * 16 * 1000 // 4
    assert defined("TRAVEL_STEPS") == 60 * 800
    assert "60 mm travel" in guide()
    assert defined("RATE_MHZ") == 80_000
    assert defined("FORCE_RANGE_MN") == 2000
    # 2 N at 1 mV/V; the amplifier's gain of 128 spreads half its supply over 2^23 counts: the supply cancels out.
    assert defined("COUNTS_PER_N") == round(1e-3 / 2 * 128 / 0.5 * 2**23)


def test_every_function_of_the_thin_layer_is_told() -> None:
    declared = set(re.findall(r"\b(thin_\w+)\(", (BOARD / "thin.h").read_text(encoding="utf-8")))
    told = set(re.findall(r"`(thin_\w+)`", section("Another board")))
    assert told == declared


@pytest.mark.parametrize("cell", [row[0] for row in rows("When something is wrong") if row[0].startswith('"')])
def test_the_program_says_so(cell: str) -> None:
    assert cell.strip('"') in sentences()


def test_links_and_drawing() -> None:
    for target in re.findall(r"\]\(([^)#]+)\)", guide()):
        assert (FIRMWARE / target).exists(), target
    for anchor in re.findall(r"\(#([\w-]+)\)", guide()):
        headings = [re.sub(r"[^\w -]", "", line[3:].lower()).replace(" ", "-") for line in guide().splitlines()]
        assert anchor in headings, anchor
    assert ElementTree.parse(FIRMWARE / "rig_drawing.svg").getroot().tag.endswith("svg")
