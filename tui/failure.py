"""From any exception to one sentence that says what to do, and an exit status. No traceback reaches a person.

Every exception class that the project itself declares is worded for people; those, and what the operating
system says about files, become a sentence. Anything else is the program's own mistake and goes to a log file.
"""

from __future__ import annotations

import errno
import os
import sys
import traceback
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from tui.output import complain
from tui.safe_text import clean

#: Exit statuses: done, not done, the command line makes no sense, stopped by the person (128 + SIGINT).
DONE = 0
NOT_DONE = 1
USAGE = 2
INTERRUPTED = 130

#: Longest sentence shown; whatever is longer carries somebody's file in it.
LONGEST_SENTENCE = 600

OUR_PACKAGES = frozenset({"firmware_protocol", "rig", "analysis", "recordings", "tui"})

#: What to do, by what the operating system says about a file.
FILE_HINTS = {
    errno.ENOENT: "There is no {path}; check the name and the folder",
    errno.EISDIR: "{path} is a folder; name a file in it",
    errno.ENOTDIR: "{path} stands in something that is not a folder; check the path",
    errno.EACCES: "This user may not open {path}; check its permissions",
    errno.EPERM: "This user may not open {path}; check its permissions",
    errno.EEXIST: "{path} is there already and is not overwritten; choose another name",
    errno.ENOSPC: "The disk is full; make room for {path} and try again",
    errno.EROFS: "{path} is on a disk that cannot be written to; choose another folder with --out",
}


class CommandError(Exception):
    """A command cannot do what was asked; the message is the sentence a person reads."""

    def __init__(self, message: str, status: int = NOT_DONE) -> None:
        super().__init__(message)
        self.status = status


def guarded(work: Callable[[], int]) -> int:
    """Run `work`; whatever it raises becomes one sentence on stderr and an exit status."""
    try:
        status = _status_of(work)
        sys.stdout.flush()
    except KeyboardInterrupt:
        complain("Stopped by the keyboard.")
        return INTERRUPTED
    except BrokenPipeError:
        return _reader_gone()
    except Exception as error:
        return report(error)
    return status


def _status_of(work: Callable[[], int]) -> int:
    """Run `work`; an exit in the middle (argparse's way after `--help`) is its status."""
    try:
        return work()
    except SystemExit as leaving:
        return leaving.code if isinstance(leaving.code, int) else DONE


def report(error: Exception) -> int:
    """Say `error` in one sentence; the exit status it stands for."""
    complain(sentence(error))
    return error.status if isinstance(error, CommandError) else NOT_DONE


def sentence(error: Exception) -> str:
    """What a person reads about `error`."""
    if type(error).__module__.split(".")[0] in OUR_PACKAGES:
        return as_sentence(error)
    if isinstance(error, OSError) and error.filename is not None:
        hint = FILE_HINTS.get(error.errno or 0, "{path} cannot be used: " + str(error.strerror).lower())
        return hint.format(path=clean(os.fsdecode(error.filename), LONGEST_SENTENCE)) + "."
    return _own_mistake(error)


def as_sentence(problem: Exception) -> str:
    """The text of an exception, on one line, with one full stop; it may begin with a file's name."""
    return clean(str(problem), LONGEST_SENTENCE).rstrip(".") + "."


def _own_mistake(error: Exception) -> str:
    """Keep the traceback in a log file and say where."""
    what = clean(f"{type(error).__name__}: {error}")
    text = "".join(traceback.format_exception(error))
    try:
        path = _log_file()
        path.write_text(f"strandbench {' '.join(sys.argv[1:])}\n{text}", encoding="utf-8", errors="replace")
    except OSError:
        return f"Something went wrong inside the program ({what}), and no log could be written; please report it."
    return f"Something went wrong inside the program ({what}); please report it with the file {path}."


def _log_file() -> Path:
    """A new file in the place where this platform keeps logs."""
    from platformdirs import user_log_path

    folder = user_log_path("strandbench", appauthor=False, ensure_exists=True)
    return folder / f"failure-{datetime.now():%Y%m%d-%H%M%S-%f}.log"


def _reader_gone() -> int:
    """Whoever read the output has gone (`| head`): be quiet, now and when Python flushes at exit."""
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, sys.stdout.fileno())
    return NOT_DONE
