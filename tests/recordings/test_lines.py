"""The line syntax: what goes in comes out, wrong types are named, numbers that are none are refused."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from recordings.format import FORMAT_VERSION, End, Header, JsonValue, Mark, RigInfo
from recordings.lines import (
    BadLine,
    NewerVersion,
    decode_comment,
    decode_header,
    encode_end,
    encode_header,
    encode_mark,
)
from tests.recordings.sample import HEADER

FINITE = st.floats(allow_nan=False, allow_infinity=False)
INTEGERS = st.integers(-(2**63), 2**63 - 1)
JSON_VALUES: st.SearchStrategy[JsonValue] = st.recursive(
    st.none() | st.booleans() | INTEGERS | FINITE | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=6,
)


def as_json(header: Header = HEADER) -> dict[str, Any]:
    found: dict[str, Any] = json.loads(encode_header(header)[2:])
    return found


def as_line(content: dict[str, Any]) -> bytes:
    return b"# " + json.dumps(content).encode() + b"\n"


def changed(path: str, value: object) -> bytes:
    content = as_json()
    *folders, key = path.split(".")
    inside = content
    for folder in folders:
        inside = inside[folder]
    inside[key] = value
    return as_line(content)


def test_header_comes_back() -> None:
    assert decode_header(encode_header(HEADER)) == HEADER


def test_first_keys_say_what_the_file_is() -> None:
    assert list(as_json())[:2] == ["format", "version"]
    assert encode_header(HEADER).startswith(b'# {"format": "strandbench-pull", "version": 1,')


@given(st.text(), st.text(), FINITE, st.dictionaries(st.text(), JSON_VALUES, max_size=3))
def test_any_text_and_number_comes_back_in_one_ascii_line(
    reference: str, name: str, length: float, simulation: dict[str, JsonValue]
) -> None:
    specimen = replace(HEADER.specimen, reference=reference, gauge_length_mm=length)
    header = replace(HEADER, specimen=specimen, rig=RigInfo(name), simulation=simulation)
    line = encode_header(header)
    assert line.isascii()
    assert [i for i, byte in enumerate(line) if byte in b"\r\n"] == [len(line) - 1]
    assert decode_header(line) == header


@given(st.text(), INTEGERS | st.none(), st.text(), st.dictionaries(st.text(), JSON_VALUES, max_size=3))
def test_any_mark_comes_back(kind: str, t_us: int | None, text: str, data: dict[str, JsonValue]) -> None:
    mark = Mark(kind, 12, t_us, text, data)
    assert decode_comment(encode_mark(mark), row=12) == mark


def test_end_comes_back() -> None:
    end = End("break", 12, "ab" * 32)
    assert decode_comment(encode_end(end), row=12) == end


def test_unknown_keys_are_ignored_at_every_level() -> None:
    content = as_json()
    content["weather"] = {"rain": True}
    content["rig"]["colour"] = "grey"
    content["force_calibration"]["weights"] = [1, 2]
    assert decode_header(as_line(content)) == HEADER


def test_missing_optional_keys_get_their_defaults() -> None:
    content = as_json()
    for key in ("force_calibration", "extension_calibration", "simulation"):
        del content[key]
    content["rig"] = {"name": "bench two"}
    content["specimen"] = {"gauge_length_mm": 30}
    content["method"] = {}
    header = decode_header(as_line(content))
    assert header.force_calibration is None
    assert header.simulation == {}
    assert header.specimen.u_gauge_length_mm == 0.25
    assert header.method.guideline_pct == 20.0


def test_a_whole_number_serves_where_a_number_is_due() -> None:
    length = decode_header(changed("specimen.gauge_length_mm", 30)).specimen.gauge_length_mm
    assert (length, type(length)) == (30.0, float)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        ("recorded_at", 20261125),
        ("recorded_at", None),
        ("simulated", 1),
        ("simulated", "true"),
        ("rig", []),
        ("rig", None),
        ("rig.board_id", 7.0),
        ("rig.board_id", True),
        ("specimen.gauge_length_mm", "30"),
        ("specimen.gauge_length_mm", True),
        ("specimen.gauge_length_mm", None),
        ("force_calibration", "none"),
        ("force_calibration.n_per_count", [1e-6]),
        ("simulation", [1]),
    ],
)
def test_a_wrong_type_is_named_by_its_key(path: str, value: object) -> None:
    with pytest.raises(BadLine, match=f'"{path}" must be'):
        decode_header(changed(path, value))


@pytest.mark.parametrize("path", ["recorded_at", "simulated", "software", "rig", "specimen", "method"])
def test_a_missing_key_is_named(path: str) -> None:
    content = as_json()
    del content[path]
    with pytest.raises(BadLine, match=f'"{path}" is missing'):
        decode_header(as_line(content))


def test_a_missing_key_inside_is_named_with_its_path() -> None:
    content = as_json()
    del content["extension_calibration"]["mm_per_step"]
    with pytest.raises(BadLine, match=r'"extension_calibration\.mm_per_step" is missing'):
        decode_header(as_line(content))


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf])
def test_a_number_that_is_none_is_never_written(number: float) -> None:
    header = replace(HEADER, specimen=replace(HEADER.specimen, gauge_length_mm=number))
    with pytest.raises(BadLine, match=r"not finite: specimen\.gauge_length_mm"):
        encode_header(header)
    with pytest.raises(BadLine, match=r"not finite: data\.levels\.1"):
        encode_mark(Mark("zeroed", data={"levels": [1.0, number]}))


@pytest.mark.parametrize(
    "text",
    [
        "NaN",
        "Infinity",
        "-Infinity",
        "1e400",
        "-1e999",
        "9223372036854775808",
        "1" + "0" * 400,
        "9" * 5000,
        "[" * 9999,
    ],
)
def test_a_number_that_is_none_is_never_read(text: str) -> None:
    with pytest.raises(BadLine, match="JSON"):
        decode_comment(b'# {"mark": "zeroed", "data": {"counts": %s}}\n' % text.encode(), row=0)


def test_a_newer_version_is_told_from_damage() -> None:
    with pytest.raises(NewerVersion, match=f"version {FORMAT_VERSION + 1}"):
        decode_header(changed("version", FORMAT_VERSION + 1))


@pytest.mark.parametrize("version", [0, -1, "1", 1.0, None, True])
def test_a_version_that_is_none_is_damage(version: object) -> None:
    with pytest.raises(BadLine, match='"version"'):
        decode_header(changed("version", version))


@pytest.mark.parametrize(
    ("line", "what"),
    [
        (b'{"mark": "note"}\n', "does not start"),
        (b'#{"mark": "note"}\n', "does not start"),
        (b"# hello\n", "JSON"),
        (b"# [1]\n", "not a JSON object"),
        (b'# {"text": "x"}\n', "neither"),
        (b'# {"mark": 3}\n', '"kind" must be a text'),
        (b'# {"mark": "x", "t_us": 1.5}\n', '"t_us" must be a whole number'),
        (b'# {"end": "key", "rows": "2", "sha256": ""}\n', '"rows" must be a whole number'),
        (b'# {"end": "key", "rows": 2}\n', '"sha256" is missing'),
        (b'# {"mark": "Gr\xfc\xdfe"}\n', "not UTF-8"),
    ],
)
def test_a_bad_comment_line_says_why(line: bytes, what: str) -> None:
    with pytest.raises(BadLine, match=what):
        decode_comment(line, row=0)
