"""What the library knows of one file, and the one line that it is kept as. Knows no files and no screens.

An item grows in two steps: first what the header says, then what the analysis says. A file that can't be read is an
item too, with the sentence that says why.
"""

from __future__ import annotations

import json
from dataclasses import astuple, dataclass

#: Verdict classes and outcomes in the words that are searched for and shown.
VERDICT_WORDS = {
    "meets": "meets",
    "below": "below",
    "too_close": "too close to call",
    "no_verdict": "no verdict",
}
OUTCOME_WORDS = {
    "broke": "broke",
    "slipped": "slipped",
    "clamp_break": "broke at the clamp",
    "no_break": "did not break",
    "stopped": "stopped",
    "bad_test": "bad test",
}


@dataclass(frozen=True, slots=True)
class Item:
    """One file. Texts are clean; what is not known is empty. `stamp` tells whether the file changed since."""

    path: str
    name: str
    stamp: str
    #: The sentence that says why nothing can be read, or why there is no result.
    problem: str = ""
    recorded_at: str = ""
    reference: str = ""
    strand: str = ""
    zone: str = ""
    history: str = ""
    condition: str = ""
    series: str = ""
    simulated: bool = False
    #: Results are worked out anew by another version of the program.
    software: str = ""
    outcome: str = ""
    verdict: str = ""
    elongation_pct: float | None = None
    u_pct: float | None = None

    @property
    def has_result(self) -> bool:
        """Whether the analysis has been at it, whatever it found."""
        return bool(self.outcome or self.problem)


_KINDS: tuple[tuple[type, ...], ...] = (
    *((str,),) * 11,
    (bool,),
    *((str,),) * 3,
    (float, int, type(None)),
    (float, int, type(None)),
)


def to_line(item: Item) -> str:
    """The item as it is kept."""
    return json.dumps(astuple(item), ensure_ascii=False)


def from_line(line: str) -> Item | None:
    """The item that was kept; None for a line that is none, which then is read from its file anew."""
    try:
        values = json.loads(line)
        fits = len(values) == len(_KINDS) and all(map(isinstance, values, _KINDS))
        return Item(*values) if fits else None
    except (ValueError, TypeError, RecursionError):
        return None
