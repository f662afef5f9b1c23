# SPDX-License-Identifier: GPL-3.0-or-later
"""Builds what the bench runs: firmware, emulated chip, core on its own. Outside the tree, and only once."""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import tempfile
from pathlib import Path

BENCH = Path(__file__).parent
BOARD = BENCH.parent.parent / "firmware_protocol" / "board"
TOOLS = ("make", "cc", "avr-gcc", "avr-size", "avr-nm", "avr-objcopy")
HEADERS = ("/usr/include/simavr/sim_avr.h", "/usr/include/libelf.h", "/usr/lib/avr/include/avr/io.h")
PACKAGES = "gcc-avr avr-libc simavr libsimavr-dev libelf-dev"
STRICT = ("-std=gnu11", "-Wall", "-Wextra", "-Werror")
SANITIZERS = ("-fsanitize=address,undefined", "-fno-sanitize-recover=all", "-fno-omit-frame-pointer")


def missing() -> str:
    """Why the bench can't be built here; empty where it can."""
    lacking = [tool for tool in TOOLS if shutil.which(tool) is None]
    lacking += [header for header in HEADERS if not Path(header).exists()]
    return f"needs {', '.join(lacking)} (Debian: {PACKAGES})" if lacking else ""


def core(board: Path) -> list[Path]:
    """The sources that know no chip."""
    return sorted(board.glob("*.c"))


def firmware(board: Path = BOARD) -> Path:
    """The ELF image that is flashed, by the Makefile that builds it for everybody."""
    return _built("board.elf", _files(board), lambda out: _make(board, out))


def emulator() -> Path:
    """The emulated chip in its world, as a library."""
    sources = [BENCH / "world.c", BENCH / "avr_rig.c"]
    return _built(
        "librig_avr.so",
        _files(BENCH),
        lambda out: _run("cc", "-O2", *STRICT, "-shared", "-fPIC", *sources, "-o", out, "-lsimavr", "-lelf"),
    )


def native_core(board: Path = BOARD) -> Path:
    """The core on its own in the same world, as a library."""
    sources = [BENCH / "world.c", BENCH / "native_rig.c", *core(board)]
    return _built(
        "librig_native.so",
        [*_files(board), *_files(BENCH)],
        lambda out: _run("cc", "-O2", *STRICT, "-shared", "-fPIC", f"-I{board}", *sources, "-o", out),
    )


def fuzzer() -> Path:
    """A program that throws random bytes at the core, with both sanitizers on."""
    sources = [*(BENCH / name for name in ("world.c", "native_rig.c", "fuzz.c")), *core(BOARD)]
    return _built(
        "fuzz",
        [*_files(BOARD), *_files(BENCH)],
        lambda out: _run("cc", "-O1", "-g", *STRICT, *SANITIZERS, f"-I{BOARD}", *sources, "-o", out),
    )


def symbol(image: Path, name: str) -> int:
    """Where a function or variable of the image is [byte address]; the linker may have put a suffix to its name."""
    for line in _run("avr-nm", image).splitlines():
        address, _, found = line.split()
        if found.partition(".")[0] == name:
            return int(address, 16)
    raise LookupError(f"{image.name} has no symbol {name}")


def _files(folder: Path) -> list[Path]:
    return sorted(path for path in folder.rglob("*") if path.suffix in {".c", ".h"} or path.name == "Makefile")


def _make(board: Path, out: Path) -> None:
    folder = out.with_suffix("")
    said = _run("make", "-C", board, f"BUILD={folder}", f"{folder}/board.elf")
    if board == BOARD and "warning" in said:
        raise RuntimeError(said)
    shutil.move(folder / "board.elf", out)


def _built(name: str, sources: list[Path], build: object) -> Path:
    """`name` as built from exactly these sources; several processes may ask at once."""
    digest = hashlib.sha256()
    for path in sources:
        digest.update(path.name.encode() + b"\0" + path.read_bytes())
    folder = Path(tempfile.gettempdir()) / f"strandbench-bench-{os.getuid()}"
    folder.mkdir(mode=0o700, exist_ok=True)
    done = folder / f"{digest.hexdigest()[:16]}-{name}"
    if not done.exists():
        with tempfile.TemporaryDirectory(dir=folder) as scratch:
            out = Path(scratch) / name
            build(out)  # type: ignore[operator]
            out.replace(done)
    return done


def _run(*command: object) -> str:
    done = subprocess.run([str(part) for part in command], capture_output=True, text=True, check=False)
    if done.returncode != 0:
        raise RuntimeError(f"{' '.join(map(str, command))}\n{done.stdout}{done.stderr}")
    return done.stdout + done.stderr
