"""Every command explains itself, at once, and the README's table of commands is the parser's."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
import tomllib

import pytest

from tests.tui.command_line import ROOT, Cli, Said, assert_one_sentence, run_process
from tui.__main__ import build_parser
from tui.commands import COMMANDS

#: Libraries that take longer to import than help may take to appear.
HEAVY = ("numpy", "scipy", "pandas", "matplotlib", "textual", "serial", "openpyxl", "multiprocessing")

#: Words that belong to the workshop, not to the person at the rig.
JARGON = ("parse", "frame", "payload", "stdin", "stdout", "dataclass", "exception", "traceback", "boolean")


def test_help_lists_every_command_with_its_purpose(cli: Cli) -> None:
    said = cli("--help")
    assert said.status == 0
    for name in COMMANDS:
        assert re.search(rf"^    {name} +\w+", said.out, re.MULTILINE), name


@pytest.mark.parametrize("name", COMMANDS)
def test_each_command_explains_itself_with_examples(cli: Cli, name: str) -> None:
    said = cli(name, "--help")
    assert said.status == 0
    assert said.err == ""
    purpose, _, examples = said.out.partition("examples:\n")
    assert len(purpose.split("\n\n")[1]) > 60, "a purpose in plain words"
    shown = [line.strip() for line in examples.splitlines() if line.strip()]
    assert shown, "at least one example"
    for line in shown:
        assert line.startswith(("strandbench ", "#"))
    assert not [word for word in JARGON if re.search(rf"\b{word}", said.out, re.IGNORECASE)]
    assert max(map(len, said.out.splitlines())) <= 120


@pytest.mark.parametrize("name", COMMANDS)
def test_the_examples_are_command_lines_that_parse(cli: Cli, name: str) -> None:
    for line in cli(name, "--help").out.partition("examples:\n")[2].splitlines():
        words = shlex.split(line, comments=True)
        if words:
            build_parser().parse_args(words[1:])


@pytest.mark.parametrize("arguments", [["--help"], ["--version"], *([name, "--help"] for name in COMMANDS)])
def test_help_does_not_wait_for_heavy_libraries(arguments: list[str]) -> None:
    script = (
        "import sys; from tui.__main__ import main\n"
        f"assert main({arguments!r}) == 0\n"
        f"print('LOADED', sorted(set({HEAVY!r}) & set(sys.modules)))"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True, encoding="utf-8"
    )
    assert done.stdout.splitlines()[-1] == "LOADED []"


def test_the_version_is_that_of_the_package(cli: Cli) -> None:
    said = cli("--version")
    assert said.status == 0
    version = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["version"]
    assert said.out.strip() in {f"strandbench {version}", "strandbench (not installed)"}


def test_the_app_without_a_terminal_points_to_the_commands() -> None:
    said = run_process()
    assert said.status == 2
    assert "--help" in assert_one_sentence(said)


@pytest.mark.parametrize(
    "arguments", [["strech"], ["verify"], ["verify", "--jsn", "x"], ["ports", "extra"], ["--colour"]]
)
def test_a_wrong_command_line_is_one_sentence(cli: Cli, arguments: list[str]) -> None:
    said: Said = cli(*arguments)
    assert said.status == 2
    assert said.out == ""
    assert "--help" in assert_one_sentence(said)


def test_the_readme_lists_the_commands_of_the_parser(cli: Cli) -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    rows = dict(re.findall(r"^\| `strandbench ([a-z]+)[^`]*` \| (.+) \|$", readme, re.MULTILINE))
    assert tuple(rows) == COMMANDS
    listed = dict(re.findall(r"^    ([a-z]+) +(\S.*)$", cli("--help").out, re.MULTILINE))
    for name, purpose in rows.items():
        assert purpose == listed[name]
