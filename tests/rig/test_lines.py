"""Boards that only print lines: columns, lines that are cut, wrong or hostile, and whole pulls by hand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recordings.format import ExtensionCalibration, ForceCalibration, Specimen
from recordings.reader import read_recording
from rig.calibration_store import store
from rig.errors import BadPlan, LinkLost, NotARig
from rig.line_columns import FORCE, POSITION, TIME, parse_columns
from rig.line_decoder import LONGEST_LINE, LineDecoder, Reading
from rig.line_run import LineRun
from rig.line_scale import calibrations_of
from rig.plan import PullPlan
from rig.snapshot import Phase
from tests.links import LockstepClock
from tests.rig.pulls import Watcher, plan

PLAIN = "time_ms,force_counts,position_steps"


def read(columns: str, *chunks: bytes) -> tuple[list[Reading], LineDecoder]:
    decoder = LineDecoder(parse_columns(columns))
    decoder.feed(b"\n")  # the first line may have lost its beginning and is dropped
    return [reading for chunk in chunks for reading in decoder.feed(chunk)], decoder


# --- columns ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "si_per_stored"),
    [
        ("force_n", 1e-6),
        ("force_mn", 1e-9),
        ("force_cn", 1e-8),
        # Standard acceleration of gravity 9.80665 m/s2: 3rd General Conference on Weights and Measures, 1901.
        ("force_gf", 9.80665e-9),
        ("force_g", 9.80665e-9),
        ("force_kgf", 9.80665e-6),
    ],
)
def test_force_units(name: str, si_per_stored: float) -> None:
    column = parse_columns(name).of(FORCE)
    assert column is not None
    assert column.si_per_stored == pytest.approx(si_per_stored, rel=1e-12)


@pytest.mark.parametrize(
    ("name", "mm_per_stored"),
    # 1 inch is 25.4 mm: international yard and pound agreement, 1959.
    [("position_mm", 1e-6), ("extension_um", 1e-9), ("position_cm", 1e-5), ("extension_in", 25.4e-6)],
)
def test_length_units(name: str, mm_per_stored: float) -> None:
    column = parse_columns(f"force_n,{name}").of(POSITION)
    assert column is not None
    assert column.si_per_stored == pytest.approx(mm_per_stored, rel=1e-12)


@pytest.mark.parametrize(
    ("columns", "sentence"),
    [
        ("", "no column ''"),
        ("time_ms", "have no force"),
        ("time_ms,position_mm,-", "have no force"),
        ("force_n,force_mn", "give the force twice"),
        ("force_n,position_mm,extension_mm", "give the position twice"),
        ("force", "no column 'force'"),
        ("force_stone", "no column 'force_stone'"),
        ("time_h,force_n", "no column 'time_h'"),
        ("force_n;position_mm", "no column"),
        ("force_n,\x1b[31m", "no column"),
        ("force_mm", "no column 'force_mm'"),
    ],
)
def test_columns_that_are_none(columns: str, sentence: str) -> None:
    with pytest.raises(BadPlan, match=sentence) as caught:
        parse_columns(columns)
    assert str(caught.value).isprintable()


def test_columns_are_read_whatever_their_case_and_spaces() -> None:
    assert parse_columns(" Time_MS , - ,FORCE_counts").text == "time_ms,-,force_counts"


# --- lines ------------------------------------------------------------------------------------------------------

TEN = [Reading(1000 * i, 10 * i - 30, 4 * i) for i in range(10)]


def printed(separator: str, end: str, readings: list[Reading] = TEN) -> bytes:
    lines = (separator.join(str(v) for v in ((r.t_us or 0) // 1000, r.counts, r.steps)) for r in readings)
    return "".join(line + end for line in lines).encode()


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r", "\n\n", " \r\n"])
@pytest.mark.parametrize("separator", [",", ";", "\t", " ", "  ", ", ", " ; "])
@pytest.mark.parametrize("size", [1, 2, 3, 7, 1000])
def test_separators_and_line_ends_however_they_are_cut(separator: str, end: str, size: int) -> None:
    data = printed(separator, end)
    readings, decoder = read(PLAIN, *(data[i : i + size] for i in range(0, len(data), size)))
    assert readings == TEN
    assert decoder.bad == decoder.texts == 0


@pytest.mark.parametrize(
    ("columns", "line", "reading"),
    [
        ("force_n", "0.123456", Reading(None, 123_456, 0)),
        ("force_mn", "-3.5", Reading(None, -3_500_000, 0)),
        ("force_g", "12,34", Reading(None, 12_340_000, 0)),
        ("force_g,position_mm", "12,34;1,5", Reading(None, 12_340_000, 1_500_000)),
        ("force_g,position_mm", "12,34 1,5", Reading(None, 12_340_000, 1_500_000)),
        ("force_g,position_mm", "12,34", Reading(None, 12_000_000, 34_000_000)),
        ("time_s,force_n", "1.25,0.5", Reading(1_250_000, 500_000, 0)),
        ("time_us,force_counts", "17, 8388607", Reading(17, 8_388_607, 0)),
        ("-,force_counts,-", "x,5,NaN", Reading(None, 5, 0)),
        ("force_counts,position_steps", "+12,-3,", Reading(None, 12, -3)),
        ("force_counts", "8123.00", Reading(None, 8123, 0)),
        ("force_n", "1e-3", Reading(None, 1000, 0)),
        ("force_n", "-0.0", Reading(None, 0, 0)),
    ],
)
def test_numbers(columns: str, line: str, reading: Reading) -> None:
    readings, decoder = read(columns, line.encode() + b"\r\n")
    assert readings == [reading]
    assert decoder.bad == 0


@pytest.mark.parametrize(
    "line",
    [
        "12,NaN,3",
        "12,inf,3",
        "12,-Infinity,3",
        "12,sNaN1,3",
        "12,3",
        "12,3,4,5",
        "12,,4",
        "12,3.5,4",
        "12,1e30,4",
        "12,1e999999999,4",
        "1" * 41 + ",3,4",
        "12,0x1F,4",
        "12,1 2,4",
        "12;3,4",
        "12,3,4 mm",
        "9" * LONGEST_LINE + ",3,4",
        "12,\x1b[31m3,4",
    ],
)
def test_bad_line_among_good_ones(line: str) -> None:
    good = b"10,1,2\n"
    readings, decoder = read(PLAIN, good + line.encode() + b"\n" + good)
    assert readings == [Reading(10_000, 1, 2)] * 2
    assert decoder.bad == 1
    assert all(text.isprintable() and len(text) <= 60 for text in decoder.unread)


def test_headings_and_greetings_are_no_bad_lines() -> None:
    readings, decoder = read(PLAIN, b"Hello from the bench\r\ntime,force,position\r\n10,1,2\r\n")
    assert readings == [Reading(10_000, 1, 2)]
    assert decoder.bad == 0
    assert decoder.texts == 2
    assert list(decoder.unread) == ["Hello from the bench", "time,force,position"]


def test_first_line_is_never_believed() -> None:
    """123456,7,8 that lost its beginning is 56,7,8: a good line, and a wrong time."""
    decoder = LineDecoder(parse_columns(PLAIN))
    assert decoder.feed(b"56,7,8\n57,7,8\n") == [Reading(57_000, 7, 8)]


def test_line_without_an_end_is_dropped_and_costs_no_memory() -> None:
    readings, decoder = read(PLAIN, *[b"7" * 1000] * 1000, b"\n10,1,2\n")
    assert readings == [Reading(10_000, 1, 2)]
    assert decoder.bad == 1


def test_separator_of_the_first_good_line_stays() -> None:
    """Otherwise a damaged line could be read with another separator, as something it is not."""
    readings, decoder = read("force_g,position_mm", b"1.5;2.5\n1,5\n1.6;2.6\n")
    assert [r.counts for r in readings] == [1_500_000, 1_600_000]
    assert decoder.bad == 1


@given(st.binary(max_size=3000), st.integers(1, 50))
def test_garbage_never_raises_and_never_becomes_huge(data: bytes, size: int) -> None:
    readings, _ = read(PLAIN, *(data[i : i + size] for i in range(0, len(data), size)))
    for reading in readings:
        assert abs(reading.counts) < 10**19
        assert abs(reading.t_us or 0) < 10**25


@given(
    st.lists(
        st.tuples(
            st.integers(0, 10**6),
            st.decimals(-1000, 1000, places=6, allow_nan=False, allow_infinity=False),
            st.decimals(-100, 100, places=4, allow_nan=False, allow_infinity=False),
        ),
        max_size=20,
    )
)
def test_what_was_printed_can_be_had_back_exactly(rows: list[tuple[int, Decimal, Decimal]]) -> None:
    data = "".join(f"{t};{force};{position}\n" for t, force, position in rows)
    readings, _ = read("time_ms,force_mn,position_mm", data.encode())
    assert [(Decimal(r.counts) / 1_000_000, Decimal(r.steps) / 1_000_000) for r in readings] == [
        (force, position) for _, force, position in rows
    ]


# --- whole pulls ------------------------------------------------------------------------------------------------


class Printer:
    """A board that prints lines, each at its time; then it falls silent."""

    address = "test://printer"

    def __init__(self, clock: LockstepClock, lines: Iterator[tuple[float, bytes]]) -> None:
        self.clock = clock
        self.start_s = clock.now_s()
        self.lines = lines
        self.next = next(lines, None)
        self.sent = b""
        self.closed = False
        self.dead = False

    def read(self, timeout_s: float) -> bytes:
        deadline_s = self.clock.now_s() + timeout_s
        while True:
            if self.dead:
                raise LinkLost("The port test://printer is gone: check the cable.")
            if self.next and self.next[0] <= self.clock.now_s() - self.start_s:
                data, self.next = self.next[1], next(self.lines, None)
                return data
            if self.clock.now_s() >= deadline_s:
                return b""
            self.clock.advance(0.001)

    def write(self, data: bytes) -> None:
        self.sent += data

    def close(self) -> None:
        self.closed = True


def hand_pull(
    template: str = "{ms},{counts},{steps}\r\n", *, breaks: bool = True, seconds: float = 12.0, first_ms: int = 0
) -> Iterator[tuple[float, bytes]]:
    """A board of 80 lines a second: at rest for 3 s, stretched for the rest, broken 1 s before the end."""
    rng = Random(5)
    yield 0.0, b"...rest of a line\r\n"
    for i in range(int(seconds * 80)):
        t = i / 80
        pulled = max(0.0, t - 3.0)
        force = 0.0 if breaks and t > seconds - 1.0 else min(pulled * 0.1, 0.3 + 0.02 * pulled)
        values = {
            "ms": first_ms + round(t * 1000),
            "us": (first_ms * 1000 + round(t * 1e6)) % 2**32,
            "counts": round(8000 + force * 3_000_000 + rng.gauss(0, 300)),
            "steps": round(pulled * 800),
            "mn": f"{force * 1000 + rng.gauss(0, 0.1):.2f}",
            "mm": f"{pulled:.3f}",
        }
        yield t, template.format(**values).encode()


def run(
    tmp_path: Path,
    lines: Iterator[tuple[float, bytes]],
    columns: str = PLAIN,
    watcher: Watcher | None = None,
    **more: object,
) -> tuple[LineRun, Printer]:
    clock = LockstepClock()
    printer = Printer(clock, lines)
    wanted: PullPlan = plan(tmp_path, **more)
    return LineRun(lambda: printer, columns, wanted, watcher or Watcher(), clock), printer


def test_pull_by_hand_until_it_breaks(tmp_path: Path) -> None:
    watcher = Watcher()
    pull, printer = run(tmp_path, hand_pull(), watcher=watcher)
    outcome = pull.run()
    assert outcome.end_reason == "break"
    assert printer.closed
    assert printer.sent == b"", "nothing is ever sent to such a board"
    recording = read_recording(outcome.path)
    assert recording.complete
    header = recording.header
    assert header.method.kind == "by_hand"
    assert header.method.speed_mm_min is None
    assert header.rig.line_columns == PLAIN
    assert header.force_calibration is None
    assert header.extension_calibration is None
    assert not header.simulated
    assert [mark.kind for mark in recording.marks] == ["zeroed", "started", "break_seen", "stopped"]
    assert 11.0 < recording.rows.t_us[-1] / 1e6 < 11.7
    assert watcher.phases == [Phase.STARTING, Phase.ZEROING, Phase.BY_HAND, Phase.FINISHING, Phase.ENDED]
    assert not any(snapshot.moving for snapshot in watcher.seen)


def test_printed_units_are_recorded_as_printed(tmp_path: Path) -> None:
    columns = "time_ms,force_mn,position_mm"
    pull, _ = run(tmp_path, hand_pull("{ms}\t{mn}\t{mm}\n"), columns)
    outcome = pull.run()
    assert outcome.end_reason == "break"
    recording = read_recording(outcome.path)
    force, extension = recording.header.force_calibration, recording.header.extension_calibration
    assert force is not None
    assert extension is not None
    assert force.kind == extension.kind == "printed"
    assert force.n_per_count == pytest.approx(1e-9)
    lines = dict(hand_pull("{ms}\t{mn}\t{mm}\n"))
    by_ms = {int(line.split(b"\t")[0]): line.split(b"\t")[1:] for line in lines.values() if line[:1].isdigit()}
    rows = recording.rows
    for t_us, counts, steps in zip(rows.t_us, rows.counts, rows.steps, strict=True):
        mn, mm = by_ms[t_us // 1000]
        assert Decimal(counts) / 1_000_000 == Decimal(mn.decode())
        assert Decimal(steps) / 1_000_000 == Decimal(mm.strip().decode())


def test_no_time_column_means_the_time_of_arrival(tmp_path: Path) -> None:
    pull, _ = run(tmp_path, hand_pull("{counts}\n"), "force_counts")
    outcome = pull.run()
    assert outcome.end_reason == "break"
    recording = read_recording(outcome.path)
    t_us = recording.rows.t_us
    assert list(t_us) == sorted(t_us)
    assert (t_us[-1] - t_us[0]) / 1e6 / (len(t_us) - 1) == pytest.approx(1 / 80, rel=0.02)
    assert set(recording.rows.steps) == {0}


def test_silence_ends_it(tmp_path: Path) -> None:
    pull, printer = run(tmp_path, hand_pull(breaks=False, seconds=6.0))
    outcome = pull.run()
    assert outcome.end_reason == "silence"
    assert printer.clock.now_s() - printer.start_s == pytest.approx(8.0, abs=0.3)
    assert read_recording(outcome.path).complete


def test_key_ends_it(tmp_path: Path) -> None:
    watcher = Watcher(lambda s: s.rows > 400)
    pull, _ = run(tmp_path, hand_pull(), watcher=watcher)
    watcher.do = pull.request_stop
    outcome = pull.run()
    assert outcome.end_reason == "key"
    assert read_recording(outcome.path).complete


def test_cable_out(tmp_path: Path) -> None:
    watcher = Watcher(lambda s: s.rows > 400, lambda: setattr(printer, "dead", True))
    pull, printer = run(tmp_path, hand_pull(), watcher=watcher)
    outcome = pull.run()
    assert outcome.end_reason == "link_lost"
    recording = read_recording(outcome.path)
    assert recording.complete
    assert len(recording.rows) > 400


def test_mistake_in_an_observer(tmp_path: Path) -> None:
    def fail() -> None:
        raise RuntimeError("invented mistake")

    pull, printer = run(tmp_path, hand_pull(), watcher=Watcher(lambda s: s.rows > 400, fail))
    with pytest.raises(RuntimeError, match="invented"):
        pull.run()
    assert printer.closed
    (path,) = tmp_path.glob("*.pull.csv")
    assert read_recording(path).complete


def test_bad_lines_are_counted_and_shown(tmp_path: Path) -> None:
    def dirty() -> Iterator[tuple[float, bytes]]:
        for i, (t, line) in enumerate(hand_pull()):
            yield t, b"##\x1b[2J 4 oh\xff\n" if i % 50 == 49 else line

    watcher = Watcher()
    pull, _ = run(tmp_path, dirty(), watcher=watcher)
    outcome = pull.run()
    assert outcome.end_reason == "break"
    last = watcher.seen[-1]
    assert last.health.bad > 10
    assert last.unread
    assert all(text.isprintable() for text in last.unread)


def test_microseconds_that_wrap(tmp_path: Path) -> None:
    """A board's 32-bit microseconds wrap after 71.6 minutes: here 5 s into the pull."""
    first_ms = (2**32 // 1000) - 5000
    pull, _ = run(tmp_path, hand_pull("{us},{counts}\n", first_ms=first_ms), "time_us,force_counts")
    outcome = pull.run()
    assert outcome.end_reason == "break"
    t_us = read_recording(outcome.path).rows.t_us
    assert list(t_us) == sorted(t_us)
    assert (t_us[-1] - t_us[0]) / 1e6 == pytest.approx(11.0, abs=0.7)


def test_board_that_starts_anew(tmp_path: Path) -> None:
    def restarted() -> Iterator[tuple[float, bytes]]:
        for t, line in hand_pull(breaks=False):
            if t < 6.0:
                yield t, line
        yield 6.0, b"Hello again\r\n"
        for t, line in hand_pull(breaks=False):
            yield t + 6.0, line

    pull, _ = run(tmp_path, restarted())
    outcome = pull.run()
    assert outcome.end_reason == "board_reset"
    t_us = read_recording(outcome.path).rows.t_us
    assert list(t_us) == sorted(t_us)


def test_lines_left_over_from_before_the_board_restarted_are_no_restart(tmp_path: Path) -> None:
    """Opening the port restarts many boards: old lines come first, then a pause, then time from 0."""

    def opened() -> Iterator[tuple[float, bytes]]:
        for i in range(20):
            yield i / 80, b"%d,8000,0\n" % (500_000 + i * 12)
        for t, line in hand_pull():
            yield t + 2.0, line

    pull, _ = run(tmp_path, opened())
    outcome = pull.run()
    assert outcome.end_reason == "break"
    assert read_recording(outcome.path).rows.t_us[0] < 1_000_000


@pytest.mark.parametrize(
    ("lines", "sentence"),
    [
        ([], "Nothing was printed"),
        ([(0.1 * i, b"hello\n") for i in range(200)], "hello"),
        ([(0.1 * i, b"1,2\n") for i in range(200)], "does not fit the columns time_ms,force_counts,position_steps"),
        ([(0.1 * i, b"\xff\x00\x1b[2J\xfe" * 9) for i in range(200)], "does not fit"),
    ],
    ids=["nothing", "words", "other columns", "another speed"],
)
def test_nothing_useful(tmp_path: Path, lines: list[tuple[float, bytes]], sentence: str) -> None:
    pull, printer = run(tmp_path, iter(lines))
    with pytest.raises(NotARig, match=sentence) as caught:
        pull.run()
    assert str(caught.value).isprintable()
    assert printer.closed
    assert list(tmp_path.glob("*.pull.csv")) == []


def test_calibration_of_counts(tmp_path: Path) -> None:
    from recordings.format import ForceCalibration

    path = store(ForceCalibration(3e-7, kind="weights"), 7, {}, tmp_path / "kept")
    pull, _ = run(tmp_path, hand_pull(), force_calibration=path)
    outcome = pull.run()
    calibration = read_recording(outcome.path).header.force_calibration
    assert calibration is not None
    assert calibration.kind == "weights"
    with pytest.raises(BadPlan, match="prints a force"):
        run(tmp_path, hand_pull(), "force_mn", force_calibration=path)


def test_strand_that_can_not_be(tmp_path: Path) -> None:
    wanted = replace(plan(tmp_path), specimen=Specimen(3_000_000.0))
    with pytest.raises(BadPlan, match="gauge length of 3e"):
        LineRun(lambda: pytest.fail("the port must not be opened"), PLAIN, wanted)


def test_time_is_a_quantity_of_its_own() -> None:
    assert parse_columns("time_ms,force_n").of(TIME) is not None
    assert parse_columns("force_n").of(TIME) is None


def test_a_scale_given_by_the_person_is_nominal(tmp_path: Path) -> None:
    plan = PullPlan(Specimen(30.0), directory=tmp_path, counts_per_n=1e6, steps_per_mm=800.0)
    made = calibrations_of(parse_columns("time_ms,force_counts,position_steps"), plan)
    assert made.force == ForceCalibration(1e-6)
    assert made.extension == ExtensionCalibration(1 / 800)
    assert made.force.kind == made.extension.kind == "nominal"


@pytest.mark.parametrize("scale", [{"counts_per_n": 0.0}, {"steps_per_mm": 0.0}])
def test_a_scale_of_zero_is_refused(tmp_path: Path, scale: dict[str, float]) -> None:
    plan = PullPlan(Specimen(30.0), directory=tmp_path, **scale)
    with pytest.raises(BadPlan, match="such as"):
        calibrations_of(parse_columns("time_ms,force_counts,position_steps"), plan)


def test_a_scale_is_not_given_twice(tmp_path: Path) -> None:
    plan = PullPlan(Specimen(30.0), directory=tmp_path, counts_per_n=1e6)
    with pytest.raises(BadPlan, match="can't be calibrated again"):
        calibrations_of(parse_columns("force_mn"), plan)
