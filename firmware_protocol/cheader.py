"""The C header of the board's firmware, made from the message table and the vocabulary.

`python -m firmware_protocol.cheader --write` renews it, `--check` fails where it differs. Structs are packed
and unpacked field by field and byte by byte, so that neither padding nor byte order of a compiler matters.
A tool for who changes the table: nothing at run time needs it.
"""

from __future__ import annotations

import argparse
import enum
import re
import sys
from pathlib import Path

from firmware_protocol.codec import table_crc
from firmware_protocol.frames import CRC_SIZE, CRC_START
from firmware_protocol.schema import TABLE, TEXT16, Codes, Direction, FieldSpec, MessageSpec, vocabularies
from firmware_protocol.vocabulary import (
    DEFAULT_BAUD,
    HEARTBEAT_MS,
    HOST_SILENCE_MS,
    LATCHING,
    PROTOCOL_VERSION,
    STOP_REASON_SHIFT,
    meaning,
)

HEADER = Path(__file__).parent / "board" / "strand_protocol.h"

#: Every C name begins with this.
PREFIX = "sp"

_TOP = """\
/* The wire between host and board, for the board's side.
 * Made from the message table by: python -m firmware_protocol.cheader --write
 * Change the table, not this file.
 *
 * A frame is COBS(message id, payload, CRC-16/IBM-3740 high byte first) and a zero byte.
 * sp_pack_x() writes message id and payload ("body") and returns their length;
 * sp_unpack_x() reads the payload, which begins behind the message id. Both go byte by byte, low byte first.
 */
#ifndef STRAND_PROTOCOL_H
#define STRAND_PROTOCOL_H

#include <stdint.h>
"""


def header_text() -> str:
    """The whole header."""
    specs = [TABLE[number] for number in sorted(TABLE)]
    parts = [_TOP, _constants(specs)]
    parts += [_enum(codes) for codes in vocabularies()]
    parts += [_struct(spec) for spec in specs if spec.fields]
    parts += [_put_and_get()]
    parts += [_pack(spec) + "\n" + _unpack(spec) for spec in specs if spec.fields]
    parts += [f"static inline uint8_t {PREFIX}_pack_{snake(s.name)}(uint8_t *out)\n"
              f"{{\n    out[0] = {_id(s)};\n    return 1;\n}}\n" for s in specs if not s.fields]  # fmt: skip
    return "\n".join([*parts, "#endif\n"])


def snake(name: str) -> str:
    """ClearStop as clear_stop."""
    return re.sub(r"(?<!^)(?=[A-Z])", "_", name).lower()


def _id(spec: MessageSpec) -> str:
    return f"{PREFIX.upper()}_ID_{snake(spec.name).upper()}"


def _constants(specs: list[MessageSpec]) -> str:
    latching = sum(1 << reason for reason in LATCHING)
    values: list[tuple[str, str, str]] = [
        ("PROTOCOL_VERSION", f"{PROTOCOL_VERSION}", "both sides must have the same"),
        ("TABLE_CRC", f"0x{table_crc():04x}u", "checksum of the message table, told in Identity"),
        ("CRC_START", f"0x{CRC_START:04x}u", "CRC-16/IBM-3740: polynomial 0x1021, nothing reflected or inverted"),
        ("CRC_SIZE", f"{CRC_SIZE}", "bytes"),
        ("DEFAULT_BAUD", f"{DEFAULT_BAUD}ul", "exact on a 16 MHz board"),
        ("HOST_SILENCE_MS", f"{HOST_SILENCE_MS}", "a running motor stops when the host was silent for this long"),
        ("HEARTBEAT_MS", f"{HEARTBEAT_MS}", "the host sends one this often"),
        ("STOP_REASON_SHIFT", f"{STOP_REASON_SHIFT}", "flags >> this is the latched stop reason"),
        ("LATCHING_MASK", f"0x{latching:04x}u", "bit n: stop reason n refuses motion until cleared"),
    ]
    for direction, end in ((Direction.TO_BOARD, "to the board"), (Direction.TO_HOST, "to the host")):
        longest = max(1 + spec.size for spec in specs if spec.direction is direction)
        values.append((f"MAX_BODY_{direction.name}", f"{longest}", f"longest message id and payload {end}"))
    values += [(_id(s).removeprefix("SP_"), f"0x{s.id:02x}u", s.doc) for s in specs]
    values += [(f"SIZE_{snake(s.name).upper()}", f"{s.size}", "payload bytes") for s in specs]
    lines = [f"#define {PREFIX.upper()}_{name} {value} /* {doc} */" for name, value, doc in values]
    return "\n".join(lines) + "\n"


def _enum(codes: Codes) -> str:
    name = snake(codes.__name__)
    lines = [f"enum {PREFIX}_{name} {{"]
    for member in codes:
        number = f"0x{member.value:02x}" if issubclass(codes, enum.IntFlag) else f"{member.value}"
        lines.append(f"    {PREFIX.upper()}_{name.upper()}_{member.name} = {number}, /* {meaning(member)} */")
    return "\n".join([*lines, "};", ""])


def _struct(spec: MessageSpec) -> str:
    lines = [f"/* {spec.doc} */", "typedef struct {"]
    for field in spec.fields:
        unit = f" [{field.unit}]" if field.unit else ""
        lines.append(f"    {_declared(field)}; /* {field.doc}{unit} */")
    return "\n".join([*lines, f"}} {PREFIX}_{snake(spec.name)}_t;", ""])


def _declared(field: FieldSpec) -> str:
    base, bracket, length = field.type.c_type.partition("[")
    return f"{base} {field.name}{bracket}{length}"


def _put_and_get() -> str:
    """Helpers that move one number, low byte first."""
    lines = []
    for bits in (8, 16, 32):
        lines.append(f"static inline void {PREFIX}_put_u{bits}(uint8_t *out, uint{bits}_t v)\n{{")
        lines += [f"    out[{n}] = (uint8_t)(v >> {8 * n});" if n else "    out[0] = (uint8_t)v;"
                  for n in range(bits // 8)]  # fmt: skip
        lines.append("}\n")
        parts = [f"(uint{bits}_t)((uint{bits}_t)in[{n}] << {8 * n})" if n else "in[0]" for n in range(bits // 8)]
        lines.append(f"static inline uint{bits}_t {PREFIX}_get_u{bits}(const uint8_t *in)\n{{")
        lines.append(f"    return (uint{bits}_t)({' | '.join(parts)});\n}}\n")
    return "\n".join(lines)


def _offsets(spec: MessageSpec) -> list[tuple[FieldSpec, int]]:
    """Each field with where it begins in the payload."""
    found, at = [], 0
    for field in spec.fields:
        found.append((field, at))
        at += field.type.size
    return found


def _pack(spec: MessageSpec) -> str:
    name = snake(spec.name)
    lines = [f"static inline uint8_t {PREFIX}_pack_{name}(const {PREFIX}_{name}_t *m, uint8_t *out)", "{",
             f"    out[0] = {_id(spec)};"]  # fmt: skip
    for field, at in _offsets(spec):
        if field.type.name == TEXT16:
            lines.append(f"    for (uint8_t i = 0; i < {field.type.size}; i++)")
            lines.append(f"        out[{1 + at} + i] = (uint8_t)m->{field.name}[i];")
        else:
            bits = 8 * field.type.size
            lines.append(f"    {PREFIX}_put_u{bits}(out + {1 + at}, (uint{bits}_t)m->{field.name});")
    return "\n".join([*lines, f"    return {1 + spec.size};", "}", ""])


def _unpack(spec: MessageSpec) -> str:
    name = snake(spec.name)
    lines = [f"static inline void {PREFIX}_unpack_{name}({PREFIX}_{name}_t *m, const uint8_t *payload)", "{"]
    for field, at in _offsets(spec):
        if field.type.name == TEXT16:
            lines.append(f"    for (uint8_t i = 0; i < {field.type.size}; i++)")
            lines.append(f"        m->{field.name}[i] = (char)payload[{at} + i];")
        else:
            got = f"{PREFIX}_get_u{8 * field.type.size}(payload + {at})"
            lines.append(f"    m->{field.name} = ({field.type.c_type}){got};")
    return "\n".join([*lines, "}", ""])


def main(arguments: list[str] | None = None) -> int:
    """Write the header, or say whether it still fits the table."""
    parser = argparse.ArgumentParser(
        prog="python -m firmware_protocol.cheader", description="The board's C header."
    )
    wish = parser.add_mutually_exclusive_group(required=True)
    wish.add_argument("--write", action="store_true", help="renew the header")
    wish.add_argument("--check", action="store_true", help="fail where the header differs from the table")
    if parser.parse_args(arguments).write:
        HEADER.write_text(header_text(), encoding="utf-8", newline="\n")
        return 0
    if HEADER.exists() and HEADER.read_text(encoding="utf-8") == header_text():
        return 0
    sys.stderr.write(f"{HEADER.name} differs from the message table: renew it with --write.\n")
    return 1


if __name__ == "__main__":
    sys.exit(main())
