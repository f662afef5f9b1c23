"""Frame bodies <-> messages, and messages as a line to read: all of it derived from the message table.

A body is the message id and the payload. A message the table does not have is kept as data, since a newer
board may know more than this program. Text a board sends is made harmless here, once and for all: what is
not printable becomes U+FFFD, so that no escape code ever gets further than this module.
"""

from __future__ import annotations

import enum
import struct
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from firmware_protocol.errors import BadFrame, FirmwareMistake, HostMistake, Rule, bad_frame
from firmware_protocol.frames import Frame, crc16
from firmware_protocol.messages import Message
from firmware_protocol.schema import TABLE, TEXT16, Codes, Direction, FieldSpec, MessageSpec, table_text

#: Stands for what is not text or not printable.
REPLACEMENT = "\ufffd"


@dataclass(frozen=True, slots=True)
class UnknownMessage:
    """A sound frame whose message id the table does not have."""

    id: int
    payload: bytes


@dataclass(frozen=True, slots=True)
class _Layout:
    """What encoding and decoding one message needs, worked out once."""

    spec: MessageSpec
    pack: Callable[..., bytes]
    unpack: Callable[[bytes], tuple[Any, ...]]
    size: int
    texts: tuple[int, ...]


def _layout(spec: MessageSpec) -> _Layout:
    packing = struct.Struct(spec.struct_format)
    texts = tuple(number for number, field in enumerate(spec.fields) if field.type.name == TEXT16)
    return _Layout(spec, packing.pack, packing.unpack, packing.size, texts)


_BY_ID = {spec.id: _layout(spec) for spec in TABLE.values()}
_BY_CLASS = {layout.spec.cls: layout for layout in _BY_ID.values()}


def table_crc() -> int:
    """Checksum of the message table, CRC-16/IBM-3740: host and board compare it when they meet."""
    return crc16(table_text().encode())


def encode(message: Message) -> bytes:
    """The body of a message: its id and its payload.

    Raises HostMistake where a value does not fit its field.
    """
    layout = _BY_CLASS[type(message)]
    values = [getattr(message, field.name) for field in layout.spec.fields]
    for number in layout.texts:
        values[number] = _text_bytes(values[number], layout.spec.fields[number])
    try:
        return bytes((layout.spec.id,)) + layout.pack(*values)
    except struct.error:
        raise HostMistake(_misfit(layout.spec, message)) from None


def decode(frame: Frame, direction: Direction | None = None) -> Message | UnknownMessage:
    """The message in a frame, which must be one that goes in `direction`, where that is given.

    Raises FirmwareMistake where it goes the other way, or has another length than the table says.
    """
    layout = _BY_ID.get(frame.body[0])
    payload = frame.body[1:]
    if layout is None:
        return UnknownMessage(frame.id, payload)
    if direction is not None and layout.spec.direction is not direction:
        raise FirmwareMistake(bad_frame(Rule.WRONG_DIRECTION, frame.offset, frame.body, layout.spec.name))
    if len(payload) != layout.size:
        note = f"{layout.spec.name} has {layout.size} bytes, this one {len(payload)}"
        raise FirmwareMistake(bad_frame(Rule.WRONG_LENGTH, frame.offset, frame.body, note))
    values = layout.unpack(payload)
    if layout.texts:
        values = tuple(_text(v) if n in layout.texts else v for n, v in enumerate(values))
    return layout.spec.cls(*values)  # type: ignore[no-any-return]


def read(found: Frame | BadFrame, direction: Direction | None = None) -> Message | UnknownMessage | BadFrame:
    """What `decode` gives, with a mistake as the value that tells of it: for streams, where reading goes on."""
    if isinstance(found, BadFrame):
        return found
    try:
        return decode(found, direction)
    except FirmwareMistake as mistake:
        return mistake.report


def printable(text: str) -> str:
    """`text` with everything that is not printable (control and escape codes, line ends) as U+FFFD."""
    return "".join(c if c.isprintable() else REPLACEMENT for c in text)


def _text(data: bytes) -> str:
    """A text field as text: up to its first zero byte."""
    return printable(data.split(b"\0", 1)[0].decode("utf-8", "replace"))


def _text_bytes(text: str, field: FieldSpec) -> bytes:
    """The bytes of a text field, cut at a character boundary where there are too many."""
    if not text.isprintable():
        raise HostMistake(f"{field.name} {text!r} has characters that can't be printed")
    return text.encode()[: field.type.size].decode("utf-8", "ignore").encode()


def _misfit(spec: MessageSpec, message: Message) -> str:
    """Which value of a message does not fit its field, in words."""
    for field in spec.fields:
        value = getattr(message, field.name)
        if field.type.name == TEXT16:
            continue
        low, high = value_range(field)
        if not isinstance(value, int) or not low <= value <= high:
            return f"{spec.name}.{field.name} is {value!r}; it must be a whole number from {low} to {high}"
    raise AssertionError(f"{message!r} was refused and no field is to blame")


def value_range(field: FieldSpec) -> tuple[int, int]:
    """Lowest and highest value that a number field can carry."""
    bits = 8 * field.type.size
    if field.type.name.startswith("i"):
        return -(1 << bits - 1), (1 << bits - 1) - 1
    return 0, (1 << bits) - 1


def render(message: Message | UnknownMessage) -> str:
    """A message as one line to read: values with their units, codes by name."""
    if isinstance(message, UnknownMessage):
        return f"unknown message 0x{message.id:02x}: {message.payload.hex(' ') or 'no payload'}"
    spec = _BY_CLASS[type(message)].spec
    shown = [f"{f.name}={_shown(f, getattr(message, f.name))}" for f in spec.fields]
    return f"{spec.name} {', '.join(shown)}".rstrip()


def _shown(field: FieldSpec, value: Any) -> str:  # noqa: ANN401 - int or str, as the field says
    if field.type.name == TEXT16:
        return f'"{printable(value)}"'
    if field.codes:
        low, *high = field.codes
        if not high:
            return named(low, value)
        return f"{named(low, value & 0xFF)} / {named(high[0], value >> 8)}"
    return with_unit(value, field.unit)


def named(codes: Codes, value: int) -> str:
    """A code by its name, flags joined by +; the number itself where the vocabulary does not have it."""
    if issubclass(codes, enum.IntFlag):
        names = [flag.name or "" for flag in codes if value & flag]
        rest = value & ~sum(codes)
        return "+".join(names + [f"0x{rest:02x}"] * bool(rest)) or "-"
    try:
        return codes(value).name
    except ValueError:
        return f"{codes.__name__} {value}"


def with_unit(value: int, unit: str) -> str:
    """A value with its unit; a unit that begins with a factor ("0.001 step/s") is multiplied out as well."""
    factor, _, rest = unit.partition(" ")
    if rest:
        return f"{value} ({Decimal(factor) * value:f} {rest})"
    return f"{value} {unit}".rstrip()
