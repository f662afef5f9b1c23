"""The reader: cut anywhere it is a shorter recording; changed, foreign, damaged and huge files are told apart."""

from __future__ import annotations

import os
import sys
from array import array
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recordings import reader as reader_module
from recordings.format import Header, Mark, Recording
from recordings.lines import COLUMN_LINE, encode_header
from recordings.reader import (
    DamagedRecording,
    NotARecording,
    RecordingError,
    looks_like_recording,
    read_recording,
    read_recording_bytes,
    verify_recording,
)
from recordings.writer import RecordingWriter
from tests.recordings.sample import HEADER, ROWS, ended, with_rows, write_small


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "a.pull.csv"


def table(recording: Recording) -> list[tuple[int, ...]]:
    rows = recording.rows
    return list(zip(rows.t_us, rows.counts, rows.steps, rows.flags, strict=True))


def test_what_was_written_is_read(path: Path) -> None:
    write_small(path)
    recording = read_recording(path)
    assert recording.name == "a.pull.csv"
    assert recording.header == HEADER
    assert table(recording) == ROWS
    assert recording.rows.t_us == array("q", [0, 12500, 25000, 4_294_967_296_000])
    assert recording.marks == (
        Mark("zeroed", 0, data={"counts": 8100.25, "n": 80, "sd_counts": 30.5}),
        Mark("note", 3, 25001, 'felt a # snap, "sharp"\r\nand a line\u2028 – Grüße'),
        Mark("gap", 4, data={"lost": 2}),
    )
    assert recording.complete
    assert recording.end is not None
    assert recording.end.reason == "break"


def test_cut_at_every_byte_it_is_a_shorter_recording(path: Path) -> None:
    data = write_small(path)
    whole = read_recording(path)
    header_end = len(encode_header(HEADER))
    for length in range(header_end, len(data)):
        cut = read_recording_bytes("cut", data[:length])
        kept = data[header_end + len(COLUMN_LINE) : length].split(b"\n")[:-1]
        rows = sum(not line.startswith(b"#") for line in kept)
        assert table(cut) == ROWS[:rows]
        assert cut.marks == whole.marks[: len(kept) - rows]
        assert cut.header == HEADER
        assert not cut.complete
        assert cut.end is None


def test_cut_within_the_first_line_there_is_nothing(path: Path) -> None:
    data = write_small(path)
    for length in range(len(encode_header(HEADER))):
        with pytest.raises(NotARecording):
            read_recording_bytes("cut", data[:length])


def test_what_a_crash_leaves_behind_the_last_line_is_dropped() -> None:
    # File systems that allot space before they write it leave NUL bytes at the end after a power cut.
    recording = read_recording_bytes("x", with_rows(b"1,2,3,4\n" + bytes(5000)))
    assert table(recording) == [(1, 2, 3, 4)]
    assert not recording.complete


def test_every_changed_byte_is_noticed(path: Path) -> None:
    data = write_small(path)
    for at in range(len(encode_header(HEADER)), len(data) - 1):
        for new in (data[at] ^ 1, ord("0"), ord(" ")):
            if new == data[at]:
                continue
            changed = data[:at] + bytes([new]) + data[at + 1 :]
            try:
                recording = read_recording_bytes("x", changed)
            except DamagedRecording:
                continue
            assert not recording.complete or recording.end != read_recording_bytes("x", data).end


def test_a_changed_number_is_altered_and_still_read(path: Path) -> None:
    data = write_small(path).replace(b"12500,-8131", b"12500,-9131")
    recording = read_recording_bytes("x", data)
    assert recording.altered
    assert not recording.complete
    assert recording.rows.counts[1] == -9131


def test_a_removed_row_is_altered(path: Path) -> None:
    data = write_small(path).replace(b"12500,-8131,16,1\n", b"")
    path.write_bytes(data)
    assert read_recording(path).altered
    assert verify_recording(path).problems == (
        "a.pull.csv has 3 rows, and its end line says 4: use the original file.",
    )


@pytest.mark.parametrize(
    "row",
    [
        b"1,2,3",
        b"1,2,3,4,5",
        b"1,2,3\n4,5,6,7,8",
        b"1,2,3,4.0",
        b"1,2,3,x",
        b"1,,3,4",
        b"1,2,3,",
        b"1;2;3;4",
        b" 1,2,3,4",
        b"1,2,3,4 ",
        b"1,2,3,4e5",
        b"1,2,3,nan",
        b"1,2,3,0x10",
        b"1,2,3,+4",
        b"1,2,3,1_000",
        b"1,2,3,--4",
        b"1,2,3,4-",
        b"1,2,3,-",
        b"",
        b"1,2,3,9223372036854775808",
        b"1,2,3,-9223372036854775809",
        b"1,2,3," + b"9" * 400,
        b"1,2,3," + b"9" * 5000,
        b"1,2,3,\xc2\xb2",
        b'"1","2","3","4"',
        b"\x00\x00\x00\x00",
        b"1,2,3,4\r5,6,7,8",
    ],
)
def test_a_row_that_is_not_four_whole_numbers_is_named(row: bytes) -> None:
    data = with_rows(b"1,2,3,4\n" * 7 + row + b"\n" + b"5,6,7,8\n")
    with pytest.raises(DamagedRecording, match="is not four whole numbers") as damage:
        read_recording_bytes("x.pull.csv", data)
    assert damage.value.line == 10
    assert str(damage.value).startswith("x.pull.csv is damaged at line 10: ")
    assert str(damage.value).isprintable()
    assert len(str(damage.value)) < 250


def test_lines_are_counted_across_marks() -> None:
    data = with_rows(b"1,2,3,4\n" + b'# {"mark": "note"}\n' * 3 + b"1,2,3,4\n" + b"# {}\n")
    with pytest.raises(DamagedRecording, match="at line 8") as damage:
        read_recording_bytes("x", data)
    assert damage.value.line == 8


def test_nothing_may_follow_the_end() -> None:
    data = ended(b"1,2,3,4\n", 1)
    assert read_recording_bytes("x", data).complete
    for more in (b"1,2,3,4\n", b"\n", b"x", b'# {"mark": "note"}\n', data):
        with pytest.raises(DamagedRecording, match="line 5: something follows the end line"):
            read_recording_bytes("x", data + more)


@pytest.mark.parametrize("block", [8, 9, 16, 17, 40, 64, 1000])
def test_rows_are_the_same_whatever_piece_is_converted_at_a_time(
    block: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reader_module, "BLOCK_BYTES", block)
    note = b'# {"mark": "note"}\n'
    lines = b"".join(b"%d,%d,%d,1\n" % (i, -i, 10**i) + (note if i % 5 == 3 else b"") for i in range(18))
    recording = read_recording_bytes("x", ended(lines, 18))
    assert table(recording) == [(i, -i, 10**i, 1) for i in range(18)]
    assert [mark.row for mark in recording.marks] == [4, 9, 14]
    assert recording.complete


def header_or_sentence(data: bytes) -> tuple[Header | None, str]:
    try:
        return read_recording_bytes("x", data).header, ""
    except RecordingError as error:
        return None, str(error)


@given(st.binary(max_size=300))
def test_any_bytes_are_a_recording_or_one_sentence(data: bytes) -> None:
    for content in (data, with_rows(data), with_rows(b"1,2,3,4\n") + data, encode_header(HEADER) + data):
        header, sentence = header_or_sentence(content)
        assert header == HEADER or len(sentence) > 30
        assert sentence.isprintable()


# Files that were rewritten ---------------------------------------------------------------------------------

AGAIN = "spreadsheet or an editor"


def test_changed_line_ends_are_said(path: Path) -> None:
    path.write_bytes(write_small(path).replace(b"\n", b"\r\n"))
    with pytest.raises(DamagedRecording, match=f"line 1: its line ends were changed, .*{AGAIN}"):
        read_recording(path)


def test_line_ends_changed_below_the_header_are_said(path: Path) -> None:
    first, rest = write_small(path).split(b"\n", 1)
    path.write_bytes(first + b"\n" + rest.replace(b"\n", b"\r\n"))
    with pytest.raises(DamagedRecording, match=AGAIN):
        read_recording(path)
    with pytest.raises(DamagedRecording, match="line 4: its line ends were changed"):
        read_recording_bytes("x", with_rows(b"1,2,3,4\n1,2,3,4\r\n"))


@pytest.mark.parametrize("delimiter", [",", ";", "\t"])
def test_saved_again_by_a_spreadsheet_is_said(path: Path, delimiter: str) -> None:
    import csv

    rows = [line.split(",") for line in write_small(path).decode().splitlines()]
    with path.open("w", newline="", encoding="utf-8") as file:
        csv.writer(file, delimiter=delimiter).writerows(rows)
    with pytest.raises(RecordingError, match=AGAIN):
        read_recording(path)


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "utf-16-le"])
def test_saved_again_in_another_encoding_is_said(path: Path, encoding: str) -> None:
    path.write_bytes(write_small(path).decode().encode(encoding))
    with pytest.raises(RecordingError, match=AGAIN):
        read_recording(path)


def test_latin_1_is_said() -> None:
    header = encode_header(HEADER).replace(b"bench two", b"B\xfcrgel")
    with pytest.raises(DamagedRecording, match="line 1: it is not UTF-8 text"):
        read_recording_bytes("x", header + COLUMN_LINE)


def test_a_hand_written_header_in_utf_8_is_read() -> None:
    header = encode_header(HEADER).replace(b"bench two", "Bürgel".encode())
    assert read_recording_bytes("x", header + COLUMN_LINE).header.rig.name == "Bürgel"


def test_other_columns_are_said() -> None:
    with pytest.raises(DamagedRecording, match=r"line 2: it should read “t_us,counts,steps,flags”"):
        read_recording_bytes("x", encode_header(HEADER) + b"t_us,counts,steps\n1,2,3\n")


# Files that are none ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("content", "what"),
    [
        (b"", "is empty"),
        (bytes(range(256)) * 8, "is not a text file"),
        (b"\x89PNG\r\n\x1a\n" + bytes(100), "is not a text file"),
        (b"time;force\n1;2\n", "does not start as a recording"),
        ("Zeit;Kräfte\n".encode("latin-1"), "does not start as a recording"),
        (b"# a comment\n1,2\n", "does not start as a recording"),
        (b'# {"format": "something-else"}\n', "does not start as a recording"),
        (b"x" * 200_000, "does not start as a recording"),
        (b"\n", "does not start as a recording"),
    ],
)
def test_another_file_is_named_as_what_it_is(path: Path, content: bytes, what: str) -> None:
    path.write_bytes(content)
    with pytest.raises(NotARecording, match=what):
        read_recording(path)
    assert not verify_recording(path).ok


def test_a_newer_format_asks_for_an_update() -> None:
    header = encode_header(HEADER).replace(b'"version": 1', b'"version": 2')
    with pytest.raises(NotARecording, match="version 2, and this program reads up to 1; update this program"):
        read_recording_bytes("x", header + b"t_us,counts,steps,flags,new\n")


def test_no_file_a_folder_and_impossible_names(tmp_path: Path) -> None:
    for name, what in (
        ("no", "There is no file"),
        (".", "is a folder"),
        ("x" * 300, "can't be read|no file"),
        ("a\0b", "can't be read"),
    ):
        with pytest.raises(NotARecording, match=what):
            read_recording(tmp_path / name)


@pytest.mark.skipif(sys.platform == "win32" or os.geteuid() == 0, reason="needs access rights that bind")
def test_a_file_that_may_not_be_read(path: Path) -> None:
    write_small(path)
    path.chmod(0)
    with pytest.raises(NotARecording, match="Permission denied"):
        read_recording(path)


@pytest.mark.skipif(sys.platform == "win32", reason="there is no such device")
def test_a_device_is_not_waited_for() -> None:
    with pytest.raises(NotARecording, match="is not an ordinary file"):
        read_recording(Path("/dev/zero"))


def test_ten_gigabytes_are_not_read(path: Path) -> None:
    with path.open("wb") as file:
        file.truncate(10 * 1024**3)
    with pytest.raises(NotARecording, match="is not a text file"):
        read_recording(path)
    with path.open("r+b") as file:
        file.write(with_rows(b"1,2,3,4\n"))
    with pytest.raises(NotARecording, match="is larger than 512 MB"):
        read_recording(path)


# Verification and telling recordings from tables -----------------------------------------------------------


def test_a_whole_recording_is_verified(path: Path) -> None:
    write_small(path)
    check = verify_recording(path)
    assert (check.ok, check.complete, check.rows, check.problems) == (True, True, 4, ())


def test_a_cut_recording_has_nothing_that_vouches_for_it(path: Path) -> None:
    path.write_bytes(write_small(path)[:-1])
    check = verify_recording(path)
    assert (check.ok, check.complete, check.rows) == (False, False, 4)
    assert "cut off after 4 rows" in check.problems[0]


def test_an_altered_recording_is_said(path: Path) -> None:
    path.write_bytes(write_small(path).replace(b"snap", b"snip"))
    check = verify_recording(path)
    assert not check.ok
    assert "does not fit its checksum" in check.problems[0]


def test_time_that_stands_still_is_said(path: Path) -> None:
    with RecordingWriter(path, HEADER) as writer:
        writer.rows([0, 10, 10], [1, 2, 3], [0, 0, 0], [0, 0, 0])
    check = verify_recording(path)
    assert check.complete
    assert check.problems == ("a.pull.csv: the time does not go on at row 3; keep the file and check the rig.",)


def test_what_is_read_as_a_recording(tmp_path: Path) -> None:
    ours, renamed, foreign = (tmp_path / name for name in ("a.PULL.csv", "b.txt", "c.csv"))
    ours.write_bytes(b"")
    write_small(renamed)
    foreign.write_bytes(b"time,force\n")
    found = [looks_like_recording(path) for path in (ours, renamed, foreign, tmp_path, tmp_path / "no")]
    assert found == [True, True, False, False, False]


def test_pandas_reads_the_rows(path: Path) -> None:
    import pandas as pd

    write_small(path)
    frame = pd.read_csv(path, comment="#")
    assert list(frame.columns) == ["t_us", "counts", "steps", "flags"]
    assert [str(kind) for kind in frame.dtypes] == ["int64"] * 4
    assert [tuple(row) for row in frame.itertuples(index=False)] == ROWS
