"""The board's C header: up to date, sound C, and of the same opinion about every byte as the codec."""

from __future__ import annotations

import random
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from firmware_protocol import cheader
from firmware_protocol.codec import table_crc
from firmware_protocol.schema import TABLE, MessageSpec, vocabularies
from firmware_protocol.vocabulary import HOST_SILENCE_MS, LATCHING, PROTOCOL_VERSION, StopReason

COMPILER = shutil.which("cc") or shutil.which("gcc") or shutil.which("clang")
ROUNDS = 20


def test_the_header_in_the_tree_fits_the_table() -> None:
    assert cheader.main(["--check"]) == 0
    assert cheader.HEADER.read_text(encoding="utf-8") == cheader.header_text()


def test_a_header_that_differs_is_found_and_renewed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    header = tmp_path / "strand_protocol.h"
    monkeypatch.setattr(cheader, "HEADER", header)
    assert cheader.main(["--check"]) == 1
    assert cheader.main(["--write"]) == 0
    assert cheader.main(["--check"]) == 0
    text = header.read_text(encoding="utf-8")
    header.write_text(text.replace("SP_SIZE_SAMPLE 16", "SP_SIZE_SAMPLE 15"), encoding="utf-8")
    assert cheader.main(["--check"]) == 1
    assert "renew it with --write" in capsys.readouterr().err


def constants() -> dict[str, int]:
    found = re.findall(r"^(?:#define|   ) (SP_\w+) (?:= )?(0x[0-9a-f]+|\d+)", cheader.header_text(), re.MULTILINE)
    return {name: int(value, 0) for name, value in found}


def test_constants_are_the_tables() -> None:
    known = constants()
    assert known["SP_PROTOCOL_VERSION"] == PROTOCOL_VERSION
    assert known["SP_TABLE_CRC"] == table_crc()
    assert known["SP_HOST_SILENCE_MS"] == HOST_SILENCE_MS
    for spec in TABLE.values():
        name = cheader.snake(spec.name).upper()
        assert (known[f"SP_ID_{name}"], known[f"SP_SIZE_{name}"]) == (spec.id, spec.size)
    for codes in vocabularies():
        for member in codes:
            assert known[f"SP_{cheader.snake(codes.__name__).upper()}_{member.name}"] == member.value
    mask = known["SP_LATCHING_MASK"]
    assert {reason for reason in StopReason if mask >> reason & 1} == LATCHING


def test_c_names() -> None:
    assert [cheader.snake(n) for n in ("Sample", "ClearStop", "BoardState")] == [
        "sample",
        "clear_stop",
        "board_state",
    ]


def echo_program() -> str:
    """A C program that reads bodies as lines of hex, takes them apart and puts them together again."""
    cases = []
    for spec in TABLE.values():
        name = cheader.snake(spec.name)
        cases.append(
            f"case SP_ID_{name.upper()}: {{ sp_{name}_t m; sp_unpack_{name}(&m, in + 1); "
            f"n = sp_pack_{name}(&m, out); break; }}"
            if spec.fields
            else f"case SP_ID_{name.upper()}: n = sp_pack_{name}(out); break;"
        )
    return (
        '#include <stdio.h>\n#include <string.h>\n#include "strand_protocol.h"\n'
        "int main(void) {\n  char line[256];\n"
        "  while (fgets(line, sizeof line, stdin)) {\n"
        "    uint8_t in[128] = {0}, out[128]; unsigned v; uint8_t n = 0;\n"
        '    for (unsigned i = 0; sscanf(line + 2 * i, "%2x", &v) == 1; i++) in[i] = (uint8_t)v;\n'
        "    memset(out, 0xEE, sizeof out);\n"
        f"    switch (in[0]) {{ {' '.join(cases)} default: break; }}\n"
        '    for (unsigned i = 0; i < n; i++) printf("%02x", out[i]);\n    printf("\\n");\n'
        "  }\n  return 0;\n}\n"
    )


@pytest.mark.skipif(COMPILER is None, reason="no C compiler on this machine")
def test_c_and_python_agree_about_every_byte(tmp_path: Path) -> None:
    assert COMPILER is not None
    source, program = tmp_path / "echo.c", tmp_path / "echo.exe"
    source.write_text(echo_program(), encoding="utf-8")
    strict = ["-std=c11", "-Wall", "-Wextra", "-Wconversion", "-Wshadow", "-pedantic", "-Werror"]
    include = ["-I", str(cheader.HEADER.parent)]
    subprocess.run([COMPILER, *strict, *include, str(source), "-o", str(program)], check=True)
    dice = random.Random(6)

    def body(spec: MessageSpec) -> str:
        return (bytes((spec.id,)) + dice.randbytes(spec.size)).hex()

    bodies = [body(spec) for spec in TABLE.values() for _ in range(ROUNDS)]
    done = subprocess.run([program], input="\n".join(bodies) + "\n", capture_output=True, text=True, check=True)
    assert done.stdout.split() == bodies


@pytest.mark.skipif(COMPILER is None, reason="no C compiler on this machine")
def test_c_reads_the_values_that_python_wrote(tmp_path: Path) -> None:
    assert COMPILER is not None
    source, program = tmp_path / "values.c", tmp_path / "values.exe"
    source.write_text(
        '#include <stdio.h>\n#include "strand_protocol.h"\n'
        "int main(void) { const uint8_t p[] = {0x02,0x01,0x06,0x05,0x04,0x03,0xfe,0xff,0xff,0xff,"
        "0x0a,0x09,0x08,0x07,0x0c,0x0b}; sp_sample_t m; sp_unpack_sample(&m, p);"
        ' printf("%u %lu %ld %ld %u", m.seq, (unsigned long)m.t_us, (long)m.counts, (long)m.steps, m.flags);'
        " return 0; }\n",
        encoding="utf-8",
    )
    subprocess.run(
        [COMPILER, "-std=c11", "-I", str(cheader.HEADER.parent), str(source), "-o", str(program)], check=True
    )
    done = subprocess.run([program], capture_output=True, text=True, check=True)
    assert done.stdout == f"{0x0102} {0x03040506} -2 {0x0708090A} {0x0B0C}"
