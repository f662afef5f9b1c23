"""What the live path costs: bytes of samples in, recorded, judged and shown, as a share of the time they stand for.

Run it from the project's folder: `python -m tests.bench.bench_live [SECONDS]`. The board is a stream prepared
beforehand, handed over in pieces of 4 ms as the reader takes them; threads and ports are left out, so that the
figure is the work itself.
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path
from random import Random

from firmware_protocol.codec import encode
from firmware_protocol.frames import encode_frame
from firmware_protocol.messages import Identify, Sample
from firmware_protocol.vocabulary import PROTOCOL_VERSION
from recordings.format import ExtensionCalibration, ForceCalibration, Header, Method, RigInfo, Specimen
from rig.inbox import Inbox
from rig.link import Link
from rig.listener import Listener
from rig.live import LiveFigures
from rig.reader import Reader
from rig.recorder import Recorder
from rig.scale import Scale
from rig.snapshot import Snapshot
from rig.taking import Taking
from tests.links import simulated

SECONDS = 60
RATE_HZ = 1000
#: What is asked of the whole program at this rate: a quarter of a core.
ASKED_SHARE = 0.25
PIECE_S = 0.004


def pieces(seconds: int) -> list[bytes]:
    """The stream of a pull: a rise with noise, cut as the reader takes it."""
    rng = Random(1)
    made = []
    for first in range(0, seconds * RATE_HZ, round(PIECE_S * RATE_HZ)):
        numbers = range(first, first + round(PIECE_S * RATE_HZ))
        samples = (Sample(n % 65536, n * 1000, n * 7 + rng.randrange(-300, 300), n // 2, 1) for n in numbers)
        made.append(b"".join(encode_frame(encode(sample)) for sample in samples))
    return made


def known_listener(inbox: Inbox, reader: Reader) -> Listener:
    """A listener that a board has told who it is."""
    _, link = simulated()
    listener = Listener(inbox)
    link.write(listener.session.request(Identify(0, PROTOCOL_VERSION)))
    listener.feed(link.read(0.1), reader)
    return listener


def live_s(stream: list[bytes], folder: Path) -> float:
    """Seconds of processor time from bytes to the observer."""
    stretcher, link = simulated()
    seen: list[Snapshot] = []
    inbox = Inbox(link.clock)
    plain_link: Link = link
    reader = Reader(plain_link, lambda data, now_s: None, inbox.end, link.clock)
    listener = known_listener(inbox, reader)
    force, extension = ForceCalibration(3e-7), ExtensionCalibration(1 / 800)
    figures = LiveFigures(Scale(force, extension, 30.0))
    figures.watch(figures.scale, 100_000.0)
    stretcher._dialogue.inbox = inbox
    header = Header("2026-11-25", True, "bench", RigInfo("bench"), Specimen(30.0), Method())
    recorder = Recorder(folder, header)
    taking = Taking(stretcher, recorder, figures, seen.append)
    began = time.process_time()
    for piece in stream:
        listener.feed(piece, reader)
        taking.take()
    took = time.process_time() - began
    recorder.finish("done")
    assert recorder.rows == len(stream) * round(PIECE_S * RATE_HZ)
    assert recorder.lost == 0
    return took


def main(seconds: int = SECONDS) -> float:
    """Print the share of a core and give it."""
    stream = pieces(seconds)
    with tempfile.TemporaryDirectory() as folder:
        took = live_s(stream, Path(folder))
    share = took / seconds
    said = f"{took:.2f} s of processor time, {100 * share:.1f} % of a core"
    sys.stdout.write(f"{RATE_HZ} readings/s, {seconds} s: {said}\n")
    return share


if __name__ == "__main__":
    sys.exit(0 if main(*(int(argument) for argument in sys.argv[1:])) < ASKED_SHARE else 1)
