"""Kept values: whole or not at all, never lost, understood by newer programs and not overwritten by older ones."""

from __future__ import annotations

import enum
import errno
import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path
from typing import ClassVar, Literal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tui.store.files import load, save
from tui.store.logs import append, read_log
from tui.store.place import StoreProblem, home, packed, unpacked
from tui.store.typed import Misfit, from_plain, to_plain


class Colour(enum.Enum):
    RED = "red"
    BLUE = "blue"


@dataclass(frozen=True, slots=True)
class Bead:
    size_mm: float
    colour: Colour = Colour.RED


@dataclass(frozen=True, slots=True)
class Card:
    VERSION: ClassVar[int] = 2

    code: str
    count: int
    when: datetime
    kind: Literal["wet", "dry"] = "dry"
    done: bool = False
    beads: tuple[Bead, ...] = ()
    marks: dict[str, int | None] = field(default_factory=dict)
    note: str | None = None


CARD = Card(
    "K-7",
    3,
    datetime(2026, 11, 25, 9, 30, tzinfo=timezone(timedelta(hours=1))),
    kind="wet",
    beads=(Bead(1.5), Bead(2.0, Colour.BLUE)),
    marks={"a": 1, "b": None},
    note="ä “quoted” \\ \n",
)


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    place = tmp_path / "not there yet" / "store"
    monkeypatch.setenv("STRANDBENCH_HOME", str(place))
    return place


def test_a_value_comes_back_as_it_was(folder: Path) -> None:
    assert load("card", Card).value is None
    save("card", CARD)
    found = load("card", Card)
    assert found.value == CARD
    assert found.problem == ""
    assert [path.name for path in folder.iterdir()] == ["card.json"]


def test_the_place_is_the_platform_s_own_unless_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("STRANDBENCH_HOME")
    from platformdirs import user_data_dir

    assert str(home()) == user_data_dir("strandbench", appauthor=False)


@pytest.mark.parametrize("name", ["", "../card", "a/b", "A", "card.json", "-", "con ", "ä"])
def test_a_name_is_no_way_out_of_the_folder(name: str) -> None:
    with pytest.raises(ValueError, match="no name"):
        save(name, CARD)


def test_whoever_reads_finds_the_old_value_or_the_new_one(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every moment at which the program could be killed while saving, by a failure at each call it makes."""
    save("card", CARD)
    before = (folder / "card.json").read_bytes()

    def fail(*_args: object, **_more: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    for target in ("os.fsync", "pathlib.Path.replace", "tempfile.mkstemp"):
        with monkeypatch.context() as patch:
            patch.setattr(target, fail)
            with pytest.raises(StoreProblem, match=r"no space left on device\): .*what was there stays"):
                save("card", Card("other", 0, datetime.now(UTC)))
        assert (folder / "card.json").read_bytes() == before
        assert [path.name for path in folder.iterdir()] == ["card.json"]


KILLED = """
import os, sys
from pathlib import Path
from tests.tui.store.test_store import CARD, Card
from tui.store.files import save
real = Path.replace
Path.replace = lambda self, target: os._exit(9)
save("card", Card("other", 0, CARD.when))
"""


def test_a_program_killed_before_the_exchange_leaves_the_old_value() -> None:
    save("card", CARD)
    done = subprocess.run([sys.executable, "-c", KILLED], check=False, cwd=Path(__file__).parents[3])
    assert done.returncode == 9
    assert load("card", Card).value == CARD


DAMAGED: dict[str, bytes] = {
    "empty": b"",
    "half": packed(CARD)[:60],
    "zeros": bytes(300),
    "not utf-8": b"\xff\xfe{}",
    "not an object": b"[1, 2]",
    "no version": b'{"value": {}}',
    "deep": b"[" * 200_000,
    "nan": b'{"version": 1, "value": {"code": NaN}}',
    "escape codes": b'{"version": 1, "value": {"\\u001b[2J\\u001b]0;x\\u0007": 1}}',
}


@pytest.mark.parametrize("data", DAMAGED.values(), ids=DAMAGED.keys())
def test_a_damaged_file_is_set_aside_whole(folder: Path, data: bytes) -> None:
    folder.mkdir(parents=True)
    (folder / "card.json").write_bytes(data)
    found = load("card", Card)
    assert found.value is None
    (aside,) = folder.iterdir()
    assert aside.name.startswith("card.damaged-")
    assert aside.read_bytes() == data
    assert aside.name in found.problem
    assert "nothing of it is lost" in found.problem
    assert "\x1b" not in found.problem
    save("card", CARD)
    assert load("card", Card).value == CARD


def test_two_damaged_files_in_one_second_are_both_kept(folder: Path) -> None:
    folder.mkdir(parents=True)
    for data in (b"one", b"two", b"three"):
        (folder / "card.json").write_bytes(data)
        load("card", Card)
    assert sorted(path.read_bytes() for path in folder.iterdir()) == [b"one", b"three", b"two"]


MISFITS: dict[str, tuple[Callable[[dict[str, object]], object], str]] = {
    "missing": (lambda value: value.pop("code"), "code is missing"),
    "unknown": (lambda value: value.update(codes=1), "codes is not known"),
    "text for a number": (lambda value: value.update(count="3"), "count is not a whole number"),
    "fraction for a whole": (lambda value: value.update(count=3.5), "count is not a whole number"),
    "true for a number": (lambda value: value.update(count=True), "count is not a whole number"),
    "number for true": (lambda value: value.update(done=1), "done is not true or false"),
    "no such literal": (lambda value: value.update(kind="damp"), "kind is none of 'wet', 'dry'"),
    "time without offset": (lambda value: value.update(when="2026-01-01T10:00"), "offset"),
    "no time": (lambda value: value.update(when=5), "when is not a date and time"),
    "inner field": (lambda value: value.update(beads=[{"size_mm": "x"}]), r"beads\[0\].size_mm is not a number"),
    "inner enum": (lambda value: value.update(beads=[{"size_mm": 1, "colour": "mud"}]), "none of 'red', 'blue'"),
    "huge": (lambda value: value.update(beads=[{"size_mm": 10**400}]), "not a number"),
    "object for a list": (lambda value: value.update(beads={}), "beads is not a list"),
    "dict value": (lambda value: value.update(marks={"a": "x"}), r"marks\['a'\] is not a whole number"),
    "null": (lambda value: value.update(code=None), "code is not text"),
}


@pytest.mark.parametrize(("change", "said"), MISFITS.values(), ids=MISFITS.keys())
def test_what_does_not_fit_is_said_where(change: Callable[[dict[str, object]], object], said: str) -> None:
    plain = json.loads(packed(CARD))["value"]
    change(plain)
    with pytest.raises(Misfit, match=said):
        from_plain(Card, plain)


def test_values_from_before_a_field_are_understood() -> None:
    """A field with a default may be missing."""
    read = unpacked(
        Card, b'{"version": 1, "value": {"code": "a", "count": 1, "when": "2026-01-01T10:00Z"}}', Path()
    )
    assert read == Card("a", 1, datetime(2026, 1, 1, 10, tzinfo=UTC))


def test_a_newer_file_is_neither_read_nor_overwritten(folder: Path) -> None:
    folder.mkdir(parents=True)
    data = packed(CARD).replace(b'"version": 2', b'"version": 3')
    (folder / "card.json").write_bytes(data)
    with pytest.raises(StoreProblem, match="newer version"):
        load("card", Card)
    with pytest.raises(StoreProblem, match="newer version"):
        save("card", CARD)
    assert [path.read_bytes() for path in folder.iterdir()] == [data]


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="this user may read and write everything")
def test_a_folder_that_may_not_be_written_is_a_sentence(folder: Path) -> None:
    folder.mkdir(parents=True)
    folder.chmod(0o500)
    with pytest.raises(StoreProblem, match="permission denied"):
        save("card", CARD)


def test_a_folder_that_is_a_file_is_a_sentence(folder: Path) -> None:
    folder.parent.mkdir(parents=True)
    folder.write_text("in the way")
    for work in (lambda: save("card", CARD), lambda: append("log", CARD), lambda: load("card", Card)):
        with pytest.raises(StoreProblem, match="cannot be"):
            work()


def test_entries_are_added_in_order() -> None:
    cards = [Card(f"K-{number}", number, CARD.when) for number in range(5)]
    append("log", cards[0])
    append("log", *cards[1:])
    found = read_log("log", Card)
    assert found.entries == tuple(cards)
    assert found.problem == ""


def test_a_torn_line_costs_that_line_alone(folder: Path) -> None:
    append("log", CARD, CARD)
    whole = (folder / "log.jsonl").read_bytes()
    for length in range(len(whole) // 2 + 2, len(whole) - 1):
        (folder / "log.jsonl").write_bytes(whole[:length])
        append("log", Bead(7.0))
        append("log", CARD)
        found = read_log("log", Card)
        assert found.entries == (CARD, CARD)
        assert "line 2, 3" in found.problem
        assert (folder / "log.jsonl").read_bytes().startswith(whole[:length])


def test_a_newline_that_is_missing_costs_nothing(folder: Path) -> None:
    append("log", CARD)
    (folder / "log.jsonl").write_bytes((folder / "log.jsonl").read_bytes()[:-1])
    append("log", CARD)
    assert read_log("log", Card).entries == (CARD, CARD)


def test_a_log_that_is_not_there_is_empty() -> None:
    assert read_log("log", Card).entries == ()


WRITER = """
import sys
from tests.tui.store.test_store import CARD, Card
from tui.store.logs import append
for number in range(100):
    append("log", Card(sys.argv[1] * 50, number, CARD.when))
"""


def test_lines_of_two_programs_do_not_mix() -> None:
    root = Path(__file__).parents[3]
    programs = [subprocess.Popen([sys.executable, "-c", WRITER, sign], cwd=root) for sign in "ab"]
    assert [program.wait(60) for program in programs] == [0, 0]
    found = read_log("log", Card)
    assert found.problem == ""
    for sign in "ab":
        assert [card.count for card in found.entries if card.code == sign * 50] == list(range(100))


def test_what_has_no_picture_is_the_program_s_own_mistake() -> None:
    with pytest.raises(TypeError):
        to_plain({"a": object()})
    with pytest.raises(TypeError):
        from_plain(complex, 1)
    with pytest.raises(TypeError):
        from_plain(int | str, 1)  # type: ignore[arg-type]


@given(
    code=st.text(), count=st.integers(), note=st.none() | st.text(st.characters()), size=st.floats(allow_nan=False)
)
def test_any_text_and_number_survives(code: str, count: int, note: str | None, size: float) -> None:
    if abs(size) == float("inf"):
        with pytest.raises(ValueError, match="JSON"):
            packed(Bead(size))
        return
    card = Card(code, count, CARD.when, note=note, beads=(Bead(size),))
    assert unpacked(Card, packed(card), Path()) == card


def test_half_a_surrogate_pair_survives() -> None:
    card = Card("\udc80", 0, CARD.when)
    assert unpacked(Card, packed(card), Path()) == card
