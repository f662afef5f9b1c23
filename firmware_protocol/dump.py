"""Captured bytes as lines to read: what was said, what was damaged, what is missing.

The lines hold nothing that is not printable, whatever the bytes are.
"""

from __future__ import annotations

from collections.abc import Iterator

from firmware_protocol.codec import read, render
from firmware_protocol.errors import EVIDENCE_BYTES, FIRMWARE_RULES, BadFrame
from firmware_protocol.frames import FrameDecoder
from firmware_protocol.messages import Sample
from firmware_protocol.sample_runs import lost_between

#: Bytes taken at a time, so that a long capture need not be decoded before its first line is read.
CHUNK_BYTES = 1 << 16


def dump_lines(data: bytes) -> Iterator[str]:
    """One line a frame, of either direction: where it began [bytes from the start], and what it says."""
    decoder = FrameDecoder()
    last_seq: int | None = None
    for start in range(0, len(data), CHUNK_BYTES):
        for found in decoder.feed(data[start : start + CHUNK_BYTES]):
            came = read(found)
            if isinstance(came, Sample):
                lost = 0 if last_seq is None else lost_between(last_seq, came.seq)
                last_seq = came.seq
                if lost:
                    yield _line("", f"{lost} sample{'s' * (lost > 1)} missing here")
            yield _line(found.offset, _bad(came) if isinstance(came, BadFrame) else render(came))
    rest = decoder.unfinished
    if rest:
        begin = rest[:EVIDENCE_BYTES].hex(" ")
        yield _line(len(data) - len(rest), f"the last {len(rest)} bytes, with no delimiter behind them: {begin}")


def _bad(report: BadFrame) -> str:
    kind = "AGAINST THE RULES" if report.rule in FIRMWARE_RULES else "DAMAGED"
    return f"{kind}: {report.finding}"


def _line(offset: int | str, text: str) -> str:
    return f"{offset:>10}  {text}"
