"""How much faster many bytes are decoded at once than frame by frame; both in one run, since machines differ.

Run it from the project's folder: `python -m tests.bench.bench_decode [FRAMES]`.
"""

from __future__ import annotations

import sys
import time

from firmware_protocol.bulk import read_bulk
from firmware_protocol.codec import read
from firmware_protocol.frames import FrameDecoder
from firmware_protocol.schema import Direction
from tests.firmware_protocol.streams import some_messages, wire

FRAMES = 1_000_000
#: What is asked of the bulk decoder: so many times the speed of the decoder for single frames.
ASKED_RATIO = 10
#: Bytes a read of a busy port hands out; how the decoder for single frames gets them.
READ_BYTES = 4096
#: Different samples in the stream; it is repeated to its length.
PATTERN_SAMPLES = 50_000
#: Answers and events for each sample: a pull of a minute at 80 readings/s has a dozen on 4800.
OTHERS = 0.003


def stream(frames: int) -> tuple[bytes, int]:
    """A board's stream of at least so many frames, and how many they are: samples, now and then something else."""
    messages = some_messages(min(frames, PATTERN_SAMPLES), seed=1, others=OTHERS)
    times = -(-frames // len(messages))
    return b"".join(map(wire, messages)) * times, len(messages) * times


def one_by_one_s(data: bytes, frames: int) -> float:
    """Seconds of processor time for the decoder for single frames."""
    began = time.process_time()
    decoder = FrameDecoder()
    count = 0
    for start in range(0, len(data), READ_BYTES):
        for found in decoder.feed(data[start : start + READ_BYTES]):
            read(found, Direction.TO_HOST)
            count += 1
    assert count == frames
    return time.process_time() - began


def bulk_s(data: bytes, frames: int) -> float:
    """Seconds of processor time for the bulk decoder."""
    began = time.process_time()
    bulk = read_bulk(data)
    assert len(bulk.samples) + len(bulk.others) == frames
    return time.process_time() - began


def main(frames: int = FRAMES) -> float:
    """Print both times and give their ratio."""
    data, count = stream(frames)
    single = one_by_one_s(data, count)
    bulk = min(bulk_s(data, count) for _ in range(3))
    write = sys.stdout.write
    write(f"{count} frames, {len(data)} bytes\n")
    write(f"one by one: {single / count * 1e6:8.3f} us a frame\n")
    write(f"in bulk:    {bulk / count * 1e6:8.3f} us a frame\n")
    write(f"ratio:      {single / bulk:8.1f} (asked: {ASKED_RATIO})\n")
    return single / bulk


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else FRAMES) < ASKED_RATIO)
