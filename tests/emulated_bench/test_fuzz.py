# SPDX-License-Identifier: GPL-3.0-or-later
"""The core on its own under the address and undefined-behaviour sanitizers. Longer: `fuzz FRAMES SEED` by hand."""

from __future__ import annotations

import re
import subprocess

import pytest

from tests.emulated_bench import build

FRAMES = 500_000


@pytest.mark.parametrize("seed", [1, 2])
def test_random_sessions(seed: int) -> None:
    done = subprocess.run(
        [str(build.fuzzer()), str(FRAMES), str(seed)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr
    said = re.fullmatch(r"(\d+) frames, (\d+) steps, (\d+) bytes heard\n", done.stdout)
    assert said
    assert int(said[1]) == FRAMES
    # It would be no test if the motor never ran.
    assert int(said[2]) > 50_000
