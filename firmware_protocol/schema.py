"""How a wire message is declared: once, as a dataclass whose fields carry type, unit and one sentence.

Everything else about a message (its bytes, its printed form, its row in the protocol document, its C struct)
is derived from the declaration kept here. This module knows no particular message.
"""

from __future__ import annotations

import enum
import struct
from collections.abc import Callable
from dataclasses import dataclass, field, fields
from typing import Any, TypeVar, dataclass_transform


class Direction(enum.Enum):
    """Who sends a message."""

    TO_BOARD = "host to board"
    TO_HOST = "board to host"


@dataclass(frozen=True, slots=True)
class WireType:
    """A type a field can have on the wire: little-endian, fixed size."""

    name: str
    struct_code: str
    c_type: str

    @property
    def size(self) -> int:
        """Bytes the field takes."""
        return struct.calcsize("<" + self.struct_code)


#: A vocabulary: numbered codes, or flags that can stand together.
Codes = type[enum.IntEnum] | type[enum.IntFlag]

#: Text fields are UTF-8, padded with zero bytes, cut at a character boundary.
TEXT16 = "text16"

WIRE_TYPES: dict[str, WireType] = {
    t.name: t
    for t in (
        WireType("u8", "B", "uint8_t"),
        WireType("u16", "H", "uint16_t"),
        WireType("u32", "I", "uint32_t"),
        WireType("i32", "i", "int32_t"),
        WireType(TEXT16, "16s", "char[16]"),
    )
}


@dataclass(frozen=True, slots=True)
class FieldSpec:
    """One field of a message: its name, wire type, unit ("" where it has none) and one sentence.

    `codes` are the vocabularies its value is read with: none, one, or two where the low and the high byte
    are read apart.
    """

    name: str
    type: WireType
    unit: str
    doc: str
    codes: tuple[Codes, ...] = ()


@dataclass(frozen=True, slots=True)
class MessageSpec:
    """One message of the table."""

    name: str
    id: int
    direction: Direction
    doc: str
    fields: tuple[FieldSpec, ...]
    cls: type[Any]

    @property
    def struct_format(self) -> str:
        """Format of the payload for `struct`, without the message id."""
        return "<" + "".join(f.type.struct_code for f in self.fields)

    @property
    def size(self) -> int:
        """Payload bytes, without the message id."""
        return struct.calcsize(self.struct_format)


#: The table: message id to its declaration, filled by the `message` decorator.
TABLE: dict[int, MessageSpec] = {}

_T = TypeVar("_T")


def wire(kind: str, doc: str, *, unit: str = "", codes: tuple[Codes, ...] = ()) -> Any:  # noqa: ANN401 - stands in for the field's own type
    """Declare one field: its wire type, one sentence, the unit and the vocabularies where it has them."""
    return field(metadata={"spec": (WIRE_TYPES[kind], unit, doc, codes)})


@dataclass_transform(frozen_default=True, field_specifiers=(wire,))
def message(message_id: int, direction: Direction) -> Callable[[type[_T]], type[_T]]:
    """Enter a class into the table under `message_id`; its docstring is the message's sentence.

    Raises ValueError when the id is taken.
    """

    def enter(cls: type[_T]) -> type[_T]:
        if message_id in TABLE:
            raise ValueError(f"message id 0x{message_id:02x} is declared twice")
        made: Any = dataclass(frozen=True, slots=True)(cls)
        specs = tuple(FieldSpec(f.name, *f.metadata["spec"]) for f in fields(made))
        doc = " ".join((cls.__doc__ or "").split())
        TABLE[message_id] = MessageSpec(cls.__name__, message_id, direction, doc, specs, made)
        return made  # type: ignore[no-any-return]

    return enter


def vocabularies() -> list[Codes]:
    """Every vocabulary that a field of the table is read with, in the order of the table."""
    found: dict[Codes, None] = {}
    for spec in sorted(TABLE.values(), key=lambda s: s.id):
        found.update((codes, None) for f in spec.fields for codes in f.codes)
    return list(found)


def table_text() -> str:
    """The table as canonical text, one line a message and a vocabulary: what the table's checksum is taken over.

    Ids, directions, field names, types, units and the numbers of codes count; sentences do not, so that a
    reworded sentence does not make a board look foreign.
    """
    lines = []
    for spec in sorted(TABLE.values(), key=lambda s: s.id):
        parts = ",".join(f"{f.name}:{f.type.name}:{f.unit}" for f in spec.fields)
        lines.append(f"{spec.id:02x} {spec.direction.name} {spec.name} {parts}")
    for codes in vocabularies():
        members = ",".join(f"{member.name}={member.value}" for member in codes)
        lines.append(f"codes {codes.__name__} {members}")
    return "\n".join(lines) + "\n"
