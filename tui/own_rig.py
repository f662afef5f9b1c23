"""A simulated rig that this program serves itself, behind a port of this computer, and what hangs in its clamps."""

from __future__ import annotations

from contextlib import ExitStack
from typing import TYPE_CHECKING

from tui.strand_form import StrandForm

if TYPE_CHECKING:
    from recordings.format import JsonValue
    from rig.simulated.server import Server
    from rig.simulated.settings import SimulationSettings
    from rig.simulated.strand import StrandTruth

#: What stands for the client's code and the zone of an invented head.
INVENTED_REFERENCE, INVENTED_ZONE = "invented-head", "crown"


class OwnRig:
    """One simulated rig; serves until closed. Raises ValueError or OSError where its port can't be had."""

    def __init__(self, settings: SimulationSettings) -> None:
        from rig.simulated.server import serve

        self.settings = settings
        self._life = ExitStack()
        self._server: Server = self._life.enter_context(serve(settings))
        self.address = self._server.url

    def close(self) -> None:
        """Serve no more."""
        self._life.close()

    @property
    def header(self) -> dict[str, JsonValue]:
        """What a recording says about the simulation."""
        return self.settings.to_header()

    def next_form(self) -> StrandForm:
        """The strand that is pulled next, as somebody would have described and measured it."""
        from rig.simulated.catalogue import kind_named

        strand = self._next_strand()
        return StrandForm(
            reference=INVENTED_REFERENCE,
            zone=INVENTED_ZONE,
            history=kind_named(strand.kind).doc,
            condition=strand.condition,
            gauge_length=f"{strand.gauge_length_mm:g}",
            diameter=f"{strand.diameter_um:.0f}",
        )

    def _next_strand(self) -> StrandTruth:
        from rig.simulated.draw import draw

        truth = self._server.board.truths[-1]
        strand = truth.parts[0]
        return strand if truth.outcome == "intact" else draw(self.settings, strand.number + 1)[0]
