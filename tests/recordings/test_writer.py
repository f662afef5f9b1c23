"""The writer: nothing overwritten, header on the disk first, every batch at once, a failed disk said clearly."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import json
import os
import subprocess
import sys
import textwrap
from collections.abc import Sequence
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recordings import writer as writer_module
from recordings.lines import COLUMN_LINE, BadLine, encode_header
from recordings.reader import read_recording
from recordings.writer import RecordingFailed, RecordingWriter, new_path
from tests.recordings.sample import HEADER, ROWS, named, write_small

ROOT = Path(__file__).resolve().parents[2]


class Disk:
    """Stands in for the system calls of the writer: counts them, and fails when told to."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch) -> None:
        self.writes: list[bytes] = []
        self.syncs = 0
        self.room: int | None = None
        self._write = os.write
        monkeypatch.setattr(writer_module.os, "write", self.write)
        monkeypatch.setattr(writer_module, "_sync", self.sync)

    def write(self, fd: int, data: bytes) -> int:
        if self.room is not None:
            if not self.room:
                raise OSError(errno.ENOSPC, "No space left on device")
            data = data[: self.room]
            self.room -= len(data)
        self.writes.append(bytes(data))
        return self._write(fd, data)

    def sync(self, fd: int) -> None:
        self.syncs += 1


@pytest.fixture
def disk(monkeypatch: pytest.MonkeyPatch) -> Disk:
    return Disk(monkeypatch)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "a.pull.csv"


def columns(rows: Sequence[tuple[int, int, int, int]]) -> tuple[tuple[int, ...], ...]:
    return tuple(zip(*rows, strict=True))


def test_the_file_is_exactly_what_the_format_says(path: Path) -> None:
    lines = write_small(path).split(b"\n")
    assert lines[0] + b"\n" == encode_header(HEADER)
    assert lines[1] == b"t_us,counts,steps,flags"
    assert lines[2] == b'# {"mark": "zeroed", "data": {"counts": 8100.25, "n": 80, "sd_counts": 30.5}}'
    assert lines[3:6] == [b"0,8123,0,1", b"12500,-8131,16,1", b"25000,8388607,32,65"]
    assert lines[7:9] == [b"4294967296000,2,-1,2304", b'# {"mark": "gap", "data": {"lost": 2}}']
    before = b"\n".join(lines[:9]) + b"\n"
    end = {"end": "break", "rows": 4, "sha256": hashlib.sha256(before).hexdigest()}
    assert json.loads(lines[9][2:]) == end
    assert lines[10:] == [b""]


def test_header_is_on_the_disk_before_anything_else(path: Path, disk: Disk) -> None:
    with RecordingWriter(path, HEADER):
        assert path.read_bytes() == encode_header(HEADER) + COLUMN_LINE
        assert disk.syncs == 1


def test_an_existing_file_is_never_touched(path: Path) -> None:
    path.write_bytes(b"precious")
    with pytest.raises(RecordingFailed, match="exists already and is not overwritten"):
        RecordingWriter(path, HEADER)
    assert path.read_bytes() == b"precious"


@pytest.mark.parametrize("name", ["missing/a.pull.csv", "a\0b.pull.csv", "x" * 300 + ".pull.csv", "."])
def test_a_place_where_no_file_can_be_is_one_sentence(tmp_path: Path, name: str) -> None:
    with pytest.raises(RecordingFailed, match=r"can't be created|exists already"):
        RecordingWriter(tmp_path / name, HEADER)


def test_one_write_per_batch_and_it_is_there_at_once(path: Path, disk: Disk) -> None:
    with RecordingWriter(path, HEADER) as writer:
        disk.writes.clear()
        writer.rows(*columns(ROWS))
        assert disk.writes == [b"0,8123,0,1\n12500,-8131,16,1\n25000,8388607,32,65\n4294967296000,2,-1,2304\n"]
        assert path.read_bytes().endswith(disk.writes[0])


def test_syncs_about_once_a_second(path: Path, disk: Disk) -> None:
    clock = [100.0]
    with RecordingWriter(path, HEADER, sync_every_s=1.0, now=lambda: clock[0]) as writer:
        for tenth in range(1, 36):
            clock[0] = 100.0 + tenth / 10
            writer.rows([tenth], [1], [2], [0])
        assert disk.syncs == 1 + 3
    assert disk.syncs == 1 + 3 + 1


def test_a_batch_that_is_none_writes_nothing(path: Path) -> None:
    with RecordingWriter(path, HEADER) as writer:
        before = path.read_bytes()
        with pytest.raises(ValueError, match="zip"):
            writer.rows([1, 2], [1, 2], [1], [1, 2])
        with pytest.raises(TypeError):
            writer.rows([1], [1.5], [1], [1])  # type: ignore[list-item]
        with pytest.raises(OverflowError):
            writer.rows([1], [2**63], [1], [1])
        assert path.read_bytes() == before
        writer.rows([], [], [], [])
    assert read_recording(path).complete


def test_leaving_by_an_exception_ends_with_error(path: Path) -> None:
    with contextlib.suppress(KeyError), RecordingWriter(path, HEADER) as writer:
        writer.rows(*columns(ROWS))
        raise KeyError
    end = read_recording(path).end
    assert end is not None
    assert (end.reason, end.rows) == ("error", 4)


def test_leaving_without_a_word_ends_with_done_and_the_first_reason_stays(path: Path, tmp_path: Path) -> None:
    with RecordingWriter(path, HEADER):
        pass
    with RecordingWriter(tmp_path / "b", HEADER) as writer:
        writer.finish("key")
        writer.finish("error")
    reasons = [end.reason for name in (path, tmp_path / "b") if (end := read_recording(name).end)]
    assert reasons == ["done", "key"]


def test_nothing_can_be_added_after_the_end(path: Path) -> None:
    with RecordingWriter(path, HEADER) as writer:
        writer.finish("key")
        with pytest.raises(RecordingFailed, match="closed"):
            writer.rows(*columns(ROWS))
    assert read_recording(path).complete


def test_a_mark_that_is_not_finite_leaves_the_file_as_it_was(path: Path) -> None:
    with RecordingWriter(path, HEADER) as writer:
        with pytest.raises(BadLine):
            writer.mark("zeroed", data={"counts": float("nan")})
        writer.finish("key")
    assert read_recording(path).complete


@pytest.mark.parametrize("room", range(0, 45, 4))
def test_a_full_disk_is_one_sentence_and_keeps_what_was_written(path: Path, disk: Disk, room: int) -> None:
    with RecordingWriter(path, HEADER) as writer:
        writer.rows(*columns(ROWS[:1]))
        disk.room = room
        with pytest.raises(RecordingFailed, match="No space left on device") as failure:
            writer.rows(*columns(ROWS[1:]))
    assert isinstance(failure.value.__cause__, OSError)
    recording = read_recording(path)
    kept = b"12500,-8131,16,1\n25000,8388607,32,65\n4294967296000,2,-1,2304\n"[:room].count(b"\n")
    assert len(recording.rows) == 1 + kept
    assert recording.end is None


def test_a_disk_that_is_full_from_the_start_leaves_no_stub(path: Path, disk: Disk) -> None:
    disk.room = 10
    with pytest.raises(RecordingFailed, match="can't be written"):
        RecordingWriter(path, HEADER)
    assert not path.exists()


def test_a_sync_that_fails_is_said(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    writer = RecordingWriter(path, HEADER, sync_every_s=0.0)

    def broken(fd: int) -> None:
        raise OSError(errno.EIO, "Input/output error")

    monkeypatch.setattr(writer_module, "_sync", broken)
    with pytest.raises(RecordingFailed, match="Input/output error"):
        writer.rows(*columns(ROWS))
    assert len(read_recording(path).rows) == len(ROWS)


def run_script(script: str, *arguments: str) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-c", textwrap.dedent(script), *arguments], cwd=ROOT, stdout=subprocess.PIPE
    )


@pytest.mark.skipif(sys.platform == "win32", reason="the system has no limit on the size of a file to set")
def test_a_file_system_that_takes_no_more(path: Path) -> None:
    script = """
        import resource, sys
        from pathlib import Path
        from recordings.writer import RecordingFailed, RecordingWriter
        from tests.recordings.sample import HEADER
        resource.setrlimit(resource.RLIMIT_FSIZE, (5000, 5000))
        try:
            with RecordingWriter(Path(sys.argv[1]), HEADER) as writer:
                for i in range(10000):
                    writer.rows([i], [i], [i], [0])
        except RecordingFailed as error:
            print(writer.row_count, error)
    """
    with run_script(script, str(path)) as process:
        output = process.communicate()[0].decode()
    acknowledged, sentence = output.split(" ", 1)
    assert "can't be written (File too large)" in sentence
    assert len(read_recording(path).rows) == int(acknowledged) > 100


def test_a_killed_program_loses_nothing_it_had_acknowledged(path: Path) -> None:
    script = """
        import sys
        from pathlib import Path
        from recordings.writer import RecordingWriter
        from tests.recordings.sample import HEADER
        writer = RecordingWriter(Path(sys.argv[1]), HEADER)
        for i in range(10**9):
            writer.rows([i], [i], [i], [0])
            print(i, flush=True)
    """
    with run_script(script, str(path)) as process:
        assert process.stdout is not None
        said = [process.stdout.readline() for _ in range(200)]
        process.kill()
        said += process.stdout.readlines()
    last = int([line for line in said if line.endswith(b"\n")][-1])
    recording = read_recording(path)
    assert len(recording.rows) >= last + 1
    assert list(recording.rows.t_us) == list(range(len(recording.rows)))
    assert not recording.complete


# File names ------------------------------------------------------------------------------------------------

#: Names that Windows keeps for devices, with any extension ("Naming Files, Paths, and Namespaces", Microsoft).
RESERVED = {"CON", "PRN", "AUX", "NUL", *(f"{port}{n}" for port in ("COM", "LPT") for n in "0123456789¹²³")}


def test_a_name_says_date_reference_and_strand(tmp_path: Path) -> None:
    assert new_path(tmp_path, HEADER) == tmp_path / "2026-11-25_K-07_3.pull.csv"


def test_a_name_is_never_one_that_exists(tmp_path: Path) -> None:
    names = []
    for _ in range(3):
        path = new_path(tmp_path, HEADER)
        path.touch()
        names.append(path.name)
    assert names == [f"2026-11-25_K-07_3{counter}.pull.csv" for counter in ("", "-2", "-3")]


@pytest.mark.parametrize(
    ("reference", "strand", "expected"),
    [
        ("../../etc/passwd", "1", "2026-11-25_etc-passwd_1.pull.csv"),
        ("C:\\x\\", "..", "2026-11-25_C-x.pull.csv"),
        ("con", "", "2026-11-25_con.pull.csv"),
        ("a\x1b[31mb\n", "\0", "2026-11-25_a-31mb.pull.csv"),
        ("Grüße 7", "２", "2026-11-25_Grüße-7_２.pull.csv"),
        ("", "", "2026-11-25.pull.csv"),
        ("  . ", "*?", "2026-11-25.pull.csv"),
    ],
)
def test_a_name_is_made_safe(tmp_path: Path, reference: str, strand: str, expected: str) -> None:
    assert new_path(tmp_path, named(reference, strand)).name == expected


@given(st.text(), st.text(), st.text())
def test_any_text_makes_a_name_that_every_system_takes(reference: str, strand: str, recorded_at: str) -> None:
    path = new_path(Path("folder"), named(reference, strand, recorded_at))
    assert path.parent == Path("folder")
    assert len(path.name.encode()) <= 200
    assert path.name.isprintable()
    assert not set('<>:"/\\|?*') & set(path.name)
    assert path.name.split(".")[0].rstrip().upper() not in RESERVED
    assert path.name.endswith(".pull.csv")


def test_a_long_reference_still_makes_a_file(tmp_path: Path) -> None:
    header = named("𝔘" * 500, "é" * 500)
    with RecordingWriter(new_path(tmp_path, header), header) as writer:
        assert writer.path.exists()
