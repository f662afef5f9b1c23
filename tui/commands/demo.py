"""`strandbench demo`: the whole job on a simulated rig, behind a real port, in the app or as text."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.arguments import Subparsers, add_command, add_json
from tui.commands.pull import DEFAULT_OUT
from tui.commands.simulate import add_simulation_options, served, settings_from
from tui.consent import show_cautions
from tui.failure import DONE
from tui.output import is_terminal, note, paint, say, say_json
from tui.signals import end_as_by_keyboard

if TYPE_CHECKING:
    from analysis.results import PullResult
    from recordings.format import Specimen
    from rig.outcome import PullOutcome
    from rig.simulated.settings import SimulationSettings

SUMMARY = "see the whole job on a simulated rig"

PURPOSE = """
See the whole job without a rig: a simulated one is started behind a real port, a strand is pulled until it
breaks, the recording is worked out, and the result is shown. Then a damaged strand, to compare.

In a terminal the app opens; elsewhere, or with --headless, the story is told as text. Every strand in it is
invented. The recordings stay, marked as simulated."""

EXAMPLES = """
strandbench demo
strandbench demo --headless
strandbench demo --headless --strand lightened --seed 7
strandbench demo --headless --strand slipping --against none"""

#: How much faster than real time it runs: a pull of 45 s in under 5 s.
FASTER = 10.0

#: Told of invented strands that nobody compares with another.
NO_OTHER = "none"

#: Half a scale division of a micrometer, as somebody would have measured the strand [µm].
U_DIAMETER_UM = 1.0

#: Port of this computer alone, any free one.
LISTEN = "tcp://127.0.0.1:0"


def add_parser(subparsers: Subparsers[Any]) -> None:
    """Add the command."""
    takes = "[options]"
    parser = add_command(subparsers, "demo", run, summary=SUMMARY, purpose=PURPOSE, examples=EXAMPLES, takes=takes)
    parser.add_argument("--headless", action="store_true", help="tell it as text, also in a terminal")
    add_simulation_options(parser, time_scale=FASTER)
    parser.add_argument(
        "--against",
        default="over-processed",
        metavar="NAME",
        help=f"the strand to compare with, or {NO_OTHER} (default over-processed)",
    )
    parser.add_argument(
        "--out", type=Path, default=DEFAULT_OUT, metavar="DIR", help="folder for the recordings (default pulls)"
    )
    add_json(parser)
    parser.set_defaults(fault=[], rate_hz=80.0, gauge_length_mm=30.0, humidity_pct=65.0, hang=(), treatment="")


def run(args: argparse.Namespace) -> int:
    """Show the job; 0 when every strand was pulled to its end."""
    settings = settings_from(args)
    others = [] if args.against == NO_OTHER else [_other(args)]
    if is_terminal(sys.stdin) and is_terminal(sys.stdout) and not (args.headless or args.json):
        from tui.opening import open_app

        return open_app(directory=args.out, demo=settings)
    end_as_by_keyboard()
    return _tell([settings, *others], args)


def _other(args: argparse.Namespace) -> SimulationSettings:
    return settings_from(argparse.Namespace(**{**vars(args), "strand": args.against}))


def _tell(rigs: list[SimulationSettings], args: argparse.Namespace) -> int:
    """The job as text, once for each strand."""
    from tui.compare_text import say_side_by_side
    from tui.pulling import result_of, say_pull, status_of

    note("This is a demonstration: the rig is simulated, and the strands and their head are invented.")
    show_cautions(simulated=True)
    pulled: list[tuple[PullOutcome, PullResult]] = []
    for number, settings in enumerate(rigs, 1):
        note(paint(f"Strand {number} of {len(rigs)}: {_about(settings)}", "strong", sys.stderr))
        outcome = _pull(settings, args.out)
        pulled.append((outcome, result_of(outcome)))
        if not args.json:
            say_pull(*pulled[-1], as_json=False)
            say()
            sys.stdout.flush()
    if args.json:
        objects = [{**result.to_json(), "recording": str(outcome.path)} for outcome, result in pulled]
        say_json(objects, as_list=len(objects) > 1)
    elif len(pulled) > 1:
        say_side_by_side([result for _, result in pulled], [settings.strand for settings in rigs])
    return max((status_of(outcome) for outcome, _ in pulled), default=DONE)


def _pull(settings: SimulationSettings, directory: Path) -> PullOutcome:
    """One strand on a simulated rig of its own, over a real port."""
    from rig.connect import connect
    from rig.plan import PullPlan
    from rig.run import run_pull
    from tui.live_text import LiveText
    from tui.pulling import note_rig

    with served(settings, LISTEN) as server:
        note(f"A simulated rig listens at {server.url}, {settings.time_scale:g} times faster than real time.")
        with connect(server.url) as stretcher:
            note_rig(stretcher.facts)
            plan = PullPlan(_specimen(settings), directory=directory, simulation=settings.to_header())
            return run_pull(stretcher, plan, LiveText())


def _about(settings: SimulationSettings) -> str:
    from rig.simulated.catalogue import kind_named

    return kind_named(settings.strand).doc


def _specimen(settings: SimulationSettings) -> Specimen:
    """The invented strand as somebody would have described and measured it."""
    from recordings.format import Specimen
    from rig.simulated.catalogue import kind_named
    from rig.simulated.draw import draw

    truth = draw(settings, 0)[0]
    return Specimen(
        settings.gauge_length_mm,
        reference="invented-head",
        strand=settings.strand,
        zone="crown",
        history=kind_named(settings.strand).doc,
        condition=truth.condition,
        diameter_um=float(round(truth.diameter_um)),
        u_diameter_um=U_DIAMETER_UM,
    )
