"""The parts of the wire's README that follow from the code: messages, codes, states, the worked exchange.

Each stands between two comment lines in README.md. `python -m firmware_protocol.document --write` renews them,
`--check` fails where they differ. A tool for who changes the table: nothing at run time needs it.
"""

from __future__ import annotations

import argparse
import enum
import sys
from collections.abc import Callable, Iterable
from pathlib import Path

from firmware_protocol.codec import table_crc
from firmware_protocol.schema import TABLE, Codes, Direction, FieldSpec, MessageSpec, vocabularies
from firmware_protocol.session_states import TRANSITIONS, Input, State
from firmware_protocol.vocabulary import LATCHING, PROTOCOL_VERSION, StopReason, meaning
from firmware_protocol.worked_exchange import exchange

README = Path(__file__).parent / "README.md"

#: The comment lines around a part that is made here; {} is its name.
BEGIN = "<!-- made from the code: {} -->"
END = "<!-- end: {} -->"

ARROW = {Direction.TO_BOARD: "host → board", Direction.TO_HOST: "board → host"}


def messages_part() -> str:
    """The message table: an overview, then each message field by field."""
    specs = [TABLE[number] for number in sorted(TABLE)]
    rows = [
        (f"`0x{s.id:02x}`", f"[{s.name}](#{s.name.lower()})", ARROW[s.direction], str(s.size), s.doc) for s in specs
    ]
    overview = table(("id", "message", "direction", "payload bytes", "what it says"), rows)
    version = f"Version {PROTOCOL_VERSION}, checksum of the table `0x{table_crc():04x}`."
    return "\n\n".join([version, overview, *(_message(spec) for spec in specs)])


def _message(spec: MessageSpec) -> str:
    parts = [f"#### {spec.name}", f"`0x{spec.id:02x}`, {ARROW[spec.direction]}. {spec.doc}"]
    rows, at = [], 0
    for field in spec.fields:
        rows.append((str(at), f"`{field.name}`", field.type.name, field.unit, _read_with(field), field.doc))
        at += field.type.size
    if rows:
        parts.append(table(("byte", "field", "type", "unit", "codes", "what it is"), rows))
    return "\n\n".join(parts)


def _read_with(field: FieldSpec) -> str:
    names = [f"[{codes.__name__}](#{codes.__name__.lower()})" for codes in field.codes]
    return ", high byte ".join(names)


def codes_part() -> str:
    """Every vocabulary with its numbers."""
    return "\n\n".join(_codes(codes) for codes in vocabularies())


def _codes(codes: Codes) -> str:
    flags = issubclass(codes, enum.IntFlag)
    rows = [(f"`0x{m.value:02x}`" if flags else str(m.value), f"`{m.name}`", _code(m)) for m in codes]
    return f"#### {codes.__name__}\n\n" + table(("bit" if flags else "code", "name", "meaning"), rows)


def _code(member: enum.Enum) -> str:
    latches = isinstance(member, StopReason) and member in LATCHING
    return meaning(member) + (" — **latches**" if latches else "")


def states_part() -> str:
    """The session's states, as a diagram and as the whole table."""
    sentences = table(("state", "what it means"), [(f"`{s.name}`", s.value) for s in State])
    rows = [(f"`{s.name}`", *(_next(s, happened) for happened in Input)) for s in State]
    whole = table(("", *(i.value for i in Input)), rows)
    return "\n\n".join([sentences, _diagram(), whole])


def _next(state: State, happened: Input) -> str:
    then = TRANSITIONS[state].get(happened)
    if then is None:
        return "**refused**" if happened.name.startswith("SEND") else "–"
    return f"`{then.name}`" if then is not state else "stays"


def _diagram() -> str:
    """The transitions that change the state, in the Mermaid notation; giving up is left to the table."""
    lines = ["```mermaid", "stateDiagram-v2", f"    [*] --> {next(iter(State)).name}"]
    for state, row in TRANSITIONS.items():
        for happened, then in row.items():
            if then is not state and happened is not Input.GIVE_UP:
                lines.append(f"    {state.name} --> {then.name}: {happened.value}")
    return "\n".join([*lines, "```"])


def exchange_part() -> str:
    """The worked exchange, one frame a row."""
    rows = []
    for line in exchange():
        if isinstance(line, str):
            rows.append(("…", "…", line))
        else:
            rows.append((ARROW[line.direction], f"`{line.data.hex(' ')}`", line.reading))
    return table(("", "bytes", "what they say"), rows)


def table(head: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    """A table in Markdown."""
    head = tuple(head)
    lines = [head, ("---",) * len(head), *rows]
    return "\n".join("| " + " | ".join(cells) + " |" for cells in lines)


PARTS: dict[str, Callable[[], str]] = {
    "messages": messages_part,
    "codes": codes_part,
    "states": states_part,
    "exchange": exchange_part,
}


def renewed(text: str) -> str:
    """The document with every part made anew.

    Raises ValueError where a part's comment lines are missing.
    """
    for name, make in PARTS.items():
        begin, end = BEGIN.format(name), END.format(name)
        if text.count(f"{begin}\n") != 1 or text.count(end) != 1:
            raise ValueError(f"the part {name!r} must stand in the document once, between its two comment lines")
        before, _, rest = text.partition(begin)
        text = f"{before}{begin}\n\n{make()}\n\n{end}{rest.partition(end)[2]}"
    return text


def main(arguments: list[str] | None = None) -> int:
    """Write the parts, or say whether they still fit the code."""
    parser = argparse.ArgumentParser(
        prog="python -m firmware_protocol.document", description="The wire's document."
    )
    wish = parser.add_mutually_exclusive_group(required=True)
    wish.add_argument("--write", action="store_true", help="renew the document")
    wish.add_argument("--check", action="store_true", help="fail where the document differs from the code")
    chosen = parser.parse_args(arguments)
    text = README.read_text(encoding="utf-8")
    if chosen.write:
        README.write_text(renewed(text), encoding="utf-8", newline="\n")
        return 0
    if renewed(text) == text:
        return 0
    sys.stderr.write(f"{README.name} differs from the code: renew it with --write.\n")
    return 1


if __name__ == "__main__":
    sys.exit(main())
