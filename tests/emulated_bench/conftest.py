# SPDX-License-Identifier: GPL-3.0-or-later
"""Rigs for the tests of this folder; where the bench can't be built they are skipped, with the reason."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.emulated_bench import build
from tests.emulated_bench.host import Host
from tests.emulated_bench.rigs import EmulatedRig

FOLDER = Path(__file__).parent


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    reason = build.missing()
    if not reason:
        return
    for item in items:
        if FOLDER in item.path.parents:
            item.add_marker(pytest.mark.skip(reason=reason))


@pytest.fixture
def rig() -> Iterator[EmulatedRig]:
    made = EmulatedRig()
    yield made
    made.close()


@pytest.fixture
def host(rig: EmulatedRig) -> Host:
    """A host that has identified the emulated board and has its samples switched on."""
    made = Host(rig)
    made.begin()
    return made
