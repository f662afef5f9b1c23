"""`strandbench simulate`: a simulated rig for any program, behind a port of its own."""

from __future__ import annotations

import argparse
import sys
import threading
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from typing import TYPE_CHECKING, Any

from tui.arguments import Parser, Subparsers, add_command, measure, whole
from tui.failure import DONE, CommandError, as_sentence
from tui.output import is_terminal, note, say
from tui.safe_text import clean
from tui.signals import end_as_by_keyboard

if TYPE_CHECKING:
    from rig.simulated.server import Server
    from rig.simulated.settings import SimulationSettings

SUMMARY = "start a simulated rig to practise with"

PURPOSE = """
Start a simulated rig: it answers like a real one, with an invented strand in its clamps and faults on
request. It prints where it listens and runs until Ctrl-C. Use it to practise, to teach, or to test
another program."""

EXAMPLES = """
strandbench simulate
strandbench simulate --listen tcp://127.0.0.1:5555 --strand lightened --seed 7
strandbench simulate --fault emergency-stop@8 --time-scale 10
strandbench simulate --listen pty --strand wet
strandbench simulate --strand hook
strandbench simulate --list"""

#: The strand that is none: an empty hook for weights.
HOOK = "hook"

#: Where it listens unless told otherwise: this computer only.
DEFAULT_LISTEN = "tcp://127.0.0.1:5555"


def add_parser(subparsers: Subparsers[Any]) -> None:
    """Add the command."""
    takes = "[options]"
    parser = add_command(
        subparsers, "simulate", run, summary=SUMMARY, purpose=PURPOSE, examples=EXAMPLES, takes=takes
    )
    where = (
        f"tcp://HOST:PORT, or pty for a serial device of its own (default {DEFAULT_LISTEN}; port 0 is any free one)"
    )
    parser.add_argument("--listen", default=DEFAULT_LISTEN, metavar="WHERE", help=where)
    parser.add_argument("--list", action="store_true", help="list the strands and faults there are, and stop")
    add_simulation_options(parser)
    faults = "a fault to show, so many seconds into each pull; may be given several times"
    parser.add_argument("--fault", action="append", default=[], metavar="NAME[@SECONDS]", help=faults)
    treated = "what the same strands went through before they were mounted; the same seed without it is before"
    parser.add_argument("--treatment", default="", metavar="NAME", help=treated)
    for name, text, default in (
        ("--rate-hz", "readings a second", 80.0),
        ("--gauge-length-mm", "length of the strand between the clamps", 30.0),
        ("--humidity-pct", "relative humidity of the air", 65.0),
    ):
        unit = name.rpartition("-")[2].upper()
        parser.add_argument(name, type=measure, default=default, metavar=unit, help=f"{text} (default {default:g})")
    parser.add_argument(
        "--hang",
        type=_masses,
        default=(),
        metavar="G,G,…",
        help="weights on the hook, 0 for none, the next each time readings were taken (best with --strand hook)",
    )


def add_simulation_options(parser: Parser, strand: str = "virgin", time_scale: float = 1.0) -> None:
    """Add what the simulated rigs of all commands have in common, with a command's own defaults."""
    which = f"which invented strand hangs in the clamps (default {strand})"
    parser.add_argument("--strand", default=strand, metavar="NAME", help=which)
    again = "the same number gives the same strands again (default 1)"
    parser.add_argument("--seed", type=whole(0, 2**31), default=1, metavar="N", help=again)
    faster = f"how many times faster than real time (default {time_scale:g})"
    parser.add_argument("--time-scale", type=measure, default=time_scale, metavar="X", help=faster)


def _masses(text: str) -> tuple[float, ...]:
    return tuple(measure(part) for part in text.split(","))


def run(args: argparse.Namespace) -> int:
    """Serve until Ctrl-C."""
    if args.list:
        return _list()
    end_as_by_keyboard()
    settings = settings_from(args)
    try:
        with served(settings, args.listen) as server:
            say(server.url)
            sys.stdout.flush()  # whoever waits for the address must get it now, even through a pipe
            note(f"A simulated rig with a strand of the kind {settings.strand!r} listens there until Ctrl-C.")
            _note_what_next(server.url, settings)
            if settings.strand == HOOK and not settings.hang_g and is_terminal(sys.stdin):
                _hang_what_is_typed(server)
            _for_ever()
    except KeyboardInterrupt:
        note("The simulated rig has stopped.")
    return DONE


def _note_what_next(address: str, settings: SimulationSettings) -> None:
    """What to do in another window."""
    if settings.strand != HOOK:
        note(f"In another window: strandbench pull --port {address} --gauge-length-mm {settings.gauge_length_mm:g}")
        return
    from rig.simulated.hook import GRAVITY_M_S2

    note(f"Gravity is {GRAVITY_M_S2:g} m/s² there: latitude 51.5°, height 30 m.")
    note(
        f"In another window: strandbench calibrate force --port {address} --weights 10,20,50,100 --latitude 51.5 "
        "--height 30"
    )


def _hang_what_is_typed(server: Server) -> None:
    """Hang each mass that is typed here on the hook; comes back where nothing more can be typed."""
    note("Type what the hook is to carry, in grams, and Enter: 20 hangs 20 g, 0 takes everything off.")
    for line in sys.stdin:
        try:
            mass_g = measure(line.strip())
            server.hang(mass_g)
        except (argparse.ArgumentTypeError, ValueError) as problem:
            note(f"  {as_sentence(problem)}")
        else:
            note(f"  {mass_g:g} g hang on the hook now.")


@contextmanager
def served(settings: SimulationSettings, listen: str) -> Iterator[Server]:
    """A simulated rig for as long as the context lasts. Raises CommandError."""
    from rig.simulated.server import serve

    with ExitStack() as stack:
        try:
            server = stack.enter_context(serve(settings, listen))
        except (OSError, ValueError) as problem:
            raise CommandError(_capital(problem)) from problem
        yield server


def settings_from(args: argparse.Namespace) -> SimulationSettings:
    """What was asked for. Raises CommandError where the simulation has no such thing."""
    from rig.simulated.catalogue import kind_named
    from rig.simulated.faults import parse_fault
    from rig.simulated.settings import SimulationSettings

    try:
        return SimulationSettings(
            strand=kind_named(clean(args.strand)).name,
            seed=args.seed,
            faults=tuple(parse_fault(clean(text)) for text in args.fault),
            time_scale=args.time_scale,
            rate_hz=args.rate_hz,
            gauge_length_mm=args.gauge_length_mm,
            humidity_pct=args.humidity_pct,
            treatment=clean(args.treatment),
            hang_g=args.hang,
        )
    except ValueError as problem:
        raise CommandError(_capital(problem)) from problem


def _capital(problem: Exception) -> str:
    """The simulation words its complaints as parts of a sentence."""
    text = as_sentence(problem)
    return text[:1].upper() + text[1:]


def _list() -> int:
    from rig.simulated.catalogue import KINDS as STRANDS
    from rig.simulated.catalogue import TREATMENTS
    from rig.simulated.faults import KINDS as FAULTS

    for title, kinds in (("strands", STRANDS), ("treatments", TREATMENTS), ("faults", FAULTS)):
        say(f"{title}:")
        wide = max(map(len, kinds))
        for name, kind in kinds.items():
            if name:
                say(f"  {name:{wide}}  {kind.doc}")
    return DONE


def _for_ever() -> None:
    """Wait in small pieces: on Windows a wait without an end hears no Ctrl-C."""
    waiting = threading.Event()
    while not waiting.wait(0.5):
        pass
