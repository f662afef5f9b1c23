"""`strandbench serve`: the class's page in a browser: pulls as they happen, the last result, recordings to play."""

from __future__ import annotations

import argparse
import sys
import threading
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui import wording_page as wording
from tui.arguments import Subparsers, add_command, whole
from tui.failure import DONE
from tui.files import expanded
from tui.output import complain, note, say
from tui.safe_text import clean
from tui.signals import end_as_by_keyboard

if TYPE_CHECKING:
    from tui.classroom.series import Reel
    from tui.classroom.server import ClassPage

SUMMARY = "show pulls and recordings in the browsers of a class"

PURPOSE = """
Open a page for browsers: the live curve of every pull that is recorded into a folder (by the app, or by another
command), the last result, and recordings that each browser plays for itself. Nobody who looks on can move anything.

The page is for this computer alone. With --host 0.0.0.0 the machines of the network reach it too; then a word is
asked for, which is printed here. Nothing is encrypted: the word keeps passers-by out, not eavesdroppers."""

EXAMPLES = """
strandbench serve
strandbench serve healthy.pull.csv lightened.pull.csv
strandbench serve --host 0.0.0.0 --folder pulls"""


def add_parser(subparsers: Subparsers[Any]) -> None:
    """Add the command."""
    takes = "[options] [FILE …]"
    parser = add_command(subparsers, "serve", run, summary=SUMMARY, purpose=PURPOSE, examples=EXAMPLES, takes=takes)
    parser.add_argument("files", nargs="*", metavar="FILE", help="recordings to play")
    parser.add_argument("--host", default="127.0.0.1", help="address to listen at (default: this computer alone)")
    parser.add_argument(
        "--port", type=whole(0, 65535), default=8350, metavar="N", help="port (default 8350; 0 is any free one)"
    )
    parser.add_argument(
        "--folder", type=Path, metavar="DIR", help="folder whose pulls are shown (default: the app's own)"
    )


def run(args: argparse.Namespace) -> int:
    """Serve until Ctrl-C."""
    from tui.app import own_folder
    from tui.classroom.server import ClassPage

    end_as_by_keyboard()
    paths = expanded(args.files)
    reel = _reel(paths) if paths else None
    folder = args.folder if args.folder is not None else own_folder()
    page = ClassPage(folder, args.host, args.port)
    try:
        if reel is not None:
            page.show_reel(reel)
        _say(page, folder)
        threading.Event().wait()
    except KeyboardInterrupt:
        note(wording.SHARE_CLOSED)
    finally:
        page.close()
    return DONE


def _reel(paths: list[Path]) -> Reel:
    """The recordings to play; what is wrong with some is said. Raises NothingToPlay where none is left."""
    from tui.classroom.series import load_reel

    reel = load_reel(paths)
    for problem in reel.problems:
        complain(problem)
    return reel


def _say(page: ClassPage, folder: Path) -> None:
    """Where to look; on stdout, so that another program can read it too."""
    say(f"{wording.SHARE_AT} {page.url}")
    if page.word:
        say(f"{wording.SHARE_WORD} {page.word}")
        note(wording.SHARE_PLAIN)
    note(wording.SERVE_NOTE.format(folder=clean(str(folder))))
    sys.stdout.flush()
