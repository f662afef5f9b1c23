"""The wire's README: up to date with the code, and its worked exchange true by other people's libraries."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from cobs import cobs
from crccheck.crc import Crc16Ibm3740

from firmware_protocol import document
from firmware_protocol.codec import render
from firmware_protocol.dump import dump_lines
from firmware_protocol.frames import MAX_STUFFED, crc16
from firmware_protocol.messages import Heartbeat
from firmware_protocol.schema import TABLE, vocabularies
from firmware_protocol.session import Session
from firmware_protocol.session_states import State
from firmware_protocol.vocabulary import DEFAULT_BAUD, HEARTBEAT_MS, HOST_SILENCE_MS
from firmware_protocol.worked_exchange import CONVERSATION

TEXT = document.README.read_text(encoding="utf-8")
ROW = re.compile(r"^\| (host → board|board → host) \| `([0-9a-f ]+)` \| (.+) \|$", re.MULTILINE)


def test_the_document_fits_the_code() -> None:
    assert document.main(["--check"]) == 0
    assert document.renewed(TEXT) == TEXT


def test_a_document_that_differs_is_found_and_renewed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    copy = tmp_path / "README.md"
    copy.write_text(TEXT.replace("| 0 | `seq` | u16 |", "| 0 | `seq` | u32 |"), encoding="utf-8")
    monkeypatch.setattr(document, "README", copy)
    assert document.main(["--check"]) == 1
    assert "renew it with --write" in capsys.readouterr().err
    assert document.main(["--write"]) == 0
    assert copy.read_text(encoding="utf-8") == TEXT


@pytest.mark.parametrize("lost", [document.BEGIN.format("codes"), document.END.format("states")])
def test_a_part_that_has_lost_its_place_is_no_silent_matter(lost: str) -> None:
    with pytest.raises(ValueError, match="must stand in the document once"):
        document.renewed(TEXT.replace(lost, ""))


def test_every_message_field_code_and_state_has_its_row() -> None:
    for spec in TABLE.values():
        section = TEXT.split(f"#### {spec.name}\n")[1].split("\n#")[0]
        assert spec.doc in section
        assert re.findall(r"^\| \d+ \| `(\w+)`", section, re.MULTILINE) == [f.name for f in spec.fields]
    for codes in vocabularies():
        section = TEXT.split(f"#### {codes.__name__}\n")[1].split("\n#")[0].split("\n<!--")[0]
        assert len(re.findall(r"^\| .+ \| `\w+` \|", section, re.MULTILINE)) == len(list(codes))
    for state in State:
        assert len(re.findall(rf"^\| `{state.name}` \|", TEXT, re.MULTILINE)) == 2


def test_links_inside_the_document_lead_somewhere() -> None:
    anchors = {h.lower().replace(" ", "-") for h in re.findall(r"^#+ (.+)$", TEXT, re.MULTILINE)}
    assert set(re.findall(r"\]\(#([^)]+)\)", TEXT)) <= anchors
    for path in re.findall(r"\]\(([^#)]+)\)", TEXT):
        assert (document.README.parent / path).exists()


def test_files_named_in_the_document_are_all_there_are() -> None:
    named = set(re.findall(r"`(\w+\.py)`", TEXT.split("## The files")[1]))
    assert named == {path.name for path in document.README.parent.glob("*.py")} - {"__init__.py"}


def test_numbers_in_the_text_are_those_of_the_code() -> None:
    assert f"{DEFAULT_BAUD} baud" in TEXT
    assert f"no undamaged frame for {HOST_SILENCE_MS} ms" in TEXT
    assert f"one every {HEARTBEAT_MS} ms" in TEXT
    assert f"frames of up to {MAX_STUFFED} bytes" in TEXT
    assert f"`{crc16(b'123456789'):04X}`" in TEXT


def test_the_worked_exchange_is_true_by_independent_libraries() -> None:
    spoken = [message for message in CONVERSATION if not isinstance(message, str)]
    rows = ROW.findall(TEXT)
    assert len(rows) == len(spoken)
    for (direction, digits, reading), message in zip(rows, spoken, strict=True):
        data = bytes.fromhex(digits)
        frame = data.removeprefix(b"\0") if direction == "host → board" else data
        assert frame.count(0) == 1
        raw = cobs.decode(frame[:-1])
        assert Crc16Ibm3740.calc(raw[:-2]) == int.from_bytes(raw[-2:], "big")
        assert raw[0] == next(s.id for s in TABLE.values() if s.cls is type(message))
        [line] = dump_lines(data)
        assert line.split(maxsplit=1)[1] == reading
        if direction == "board → host" or isinstance(message, Heartbeat):
            assert reading == render(message)


def test_a_session_sends_and_takes_what_the_worked_exchange_shows() -> None:
    session = Session()
    rows = iter(ROW.findall(TEXT))
    for message in (m for m in CONVERSATION if not isinstance(m, str)):
        direction, digits, _ = next(rows)
        if direction == "board → host":
            session.receive(bytes.fromhex(digits))
        elif isinstance(message, Heartbeat):
            assert session.heartbeat().hex(" ") == digits
        else:
            assert session.request(message).hex(" ") == digits  # type: ignore[arg-type]
    assert session.state is State.READY
    counters = session.counters
    assert (counters.bad_frames, counters.unknown, counters.stray_answers) == (0, 0, 0)
    assert counters.lost_samples == 3294
