"""How quick the analysis is, as ratios in one run; `python -m tests.bench.test_pull_speed` prints the figures."""

from __future__ import annotations

import statistics
import sys
import time
import timeit
from collections.abc import Callable

import numpy as np
import pwlf

from analysis.analyse import analyse
from analysis.guideline import Guideline
from analysis.pull.regions import fit_three_lines
from analysis.pull.sums import Sums
from analysis.synthetic import Truth, make_trace
from tests.analysis.curves import trilinear

SAMPLES = 1500
#: The three-line fit is at least so many times quicker than a general piecewise fitter (measured: about 3000).
LEAST_GAIN = 300.0
#: A whole pull, uncertainty and all, takes at most so many three-line fits (measured: about 7).
MOST_FITS = 20.0

STRAIN = np.linspace(0.0, 0.45, SAMPLES)
STRESS = trilinear(STRAIN) + np.random.default_rng(1).normal(0.0, 0.5, SAMPLES)
PULL = make_trace(Truth(noise_n=0.002, slack_mm=0.3, rate_hz=32.0), 1)


def fit() -> object:
    """The three-line fit of 1500 points, running sums included."""
    return fit_three_lines(Sums(STRAIN, STRESS))


def general_fit() -> object:
    """The same by a general fitter of joined lines."""
    return pwlf.PiecewiseLinFit(STRAIN, STRESS, seed=1).fit(3)


def whole() -> object:
    """A whole pull of 1500 samples, from trace to verdict."""
    return analyse(PULL, Guideline())


def once(run: Callable[[], object]) -> float:
    """Seconds of processor time: what others do on the machine at the moment is not counted."""
    return timeit.timeit(run, number=1, timer=time.process_time)


def test_the_three_line_fit_against_a_general_fitter() -> None:
    fit()
    general = once(general_fit)
    assert general / statistics.median(once(fit) for _ in range(30)) > LEAST_GAIN


def test_a_whole_pull_against_the_three_line_fit() -> None:
    whole()
    # Turn by turn, so that a busy moment of the machine slows both.
    turns = [(once(whole), once(fit)) for _ in range(30)]
    assert statistics.median(pull_s / fit_s for pull_s, fit_s in turns) < MOST_FITS


def main() -> int:
    """Print the figures of this machine."""
    for name, run, times in (("three-line fit", fit, 300), ("general fit", general_fit, 2), ("pull", whole, 100)):
        best = min(timeit.repeat(run, timer=time.process_time, number=max(times // 5, 1), repeat=5)) / max(
            times // 5, 1
        )
        sys.stdout.write(f"{name}, {SAMPLES} samples: {1e3 * best:.3f} ms\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
