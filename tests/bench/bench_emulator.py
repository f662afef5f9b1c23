"""How many times faster than real time the emulated board runs, and how many samples a second its line carries.

Run it from the project's folder: `python -m tests.bench.bench_emulator`. Needs what tests/emulated_bench needs.
"""

from __future__ import annotations

import sys
import time

from firmware_protocol.bulk import read_bulk
from firmware_protocol.codec import encode
from firmware_protocol.frames import encode_frame
from firmware_protocol.messages import Heartbeat, Move
from tests.emulated_bench import build
from tests.emulated_bench.host import MS, Host
from tests.emulated_bench.rigs import CompiledRig, EmulatedRig, NativeRig

#: Simulated seconds of a measurement.
SPAN_S = 20
CHIP_MHZ = 16
#: What is asked of the emulated chip at 80 readings/s with the motor running: so many times real time.
ASKED_SPEED = 10
#: Readings per second beyond what the line can carry, to find its limit.
TOO_MANY_HZ = 2000


def span_s(rig: CompiledRig, rate_hz: float, speed_steps_s: int) -> tuple[float, int]:
    """Processor seconds for the span, and samples that arrived in it."""
    host = Host(rig)
    host.begin()
    if speed_steps_s:
        host.expect(Move(0, 1_000_000, speed_steps_s * 1000, 8_000_000))
    rig.set("rate_hz", rate_hz)
    host.run(1000)
    heartbeat, said, steps = encode_frame(encode(Heartbeat())), bytearray(), rig.get("steps")
    began = time.process_time()
    for _ in range(SPAN_S * 10):
        rig.send(heartbeat)
        rig.run_to(rig.now_ns + 100 * MS)
        said += rig.receive()
    took = time.process_time() - began
    assert rig.get("steps") - steps >= SPAN_S * speed_steps_s * 0.99
    rig.close()
    return took, len(read_bulk(bytes(said)).samples)


def main() -> float:
    """Print the figures and give the least ratio of emulated to processor time."""
    reason = build.missing()
    if reason:
        sys.stderr.write(f"The emulated board can't be built here: {reason}.\n")
        return 0.0
    slowest = float("inf")
    for rate_hz, speed in ((80, 0), (80, 4000), (320, 0), (320, 4000), (320, 8000)):
        chip, _ = span_s(EmulatedRig(), rate_hz, speed)
        core, _ = span_s(NativeRig(), rate_hz, speed)
        slowest = min(slowest, SPAN_S / chip) if rate_hz == 80 else slowest
        print(  # noqa: T201
            f"{rate_hz:4} readings/s, {speed:4} steps/s: emulated chip {SPAN_S / chip:6.1f} x real time "
            f"({CHIP_MHZ * SPAN_S / chip:6.0f} cycles/us), core on its own {SPAN_S / core:8.0f} x"
        )
    for speed in (0, 4000, 8000):
        _, samples = span_s(EmulatedRig(), TOO_MANY_HZ, speed)
        print(f"the line carries {samples / SPAN_S:.0f} samples/s at {speed} steps/s")  # noqa: T201
    print(f"slowest at 80 readings/s: {slowest:.1f} x, asked for {ASKED_SPEED} x")  # noqa: T201
    return slowest


if __name__ == "__main__":
    sys.exit(0 if main() >= ASKED_SPEED else 1)
