"""A card made into its page, and the page into files: the one way for the app and the command line.

Blocks, and imports the analysis where strands were pulled.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tui.reports.page import Page, page_of

if TYPE_CHECKING:
    from analysis.results import PullResult
    from tui.check.card import Card
    from tui.check.judged import Judged

#: The forms of the page, by the ending of their files.
ENDINGS = (".pdf", ".html", ".json")


@dataclass(frozen=True, slots=True)
class Paper:
    """A card with everything that its page says at a moment."""

    card: Card
    judged: Judged | None
    page: Page
    now: datetime

    def pdf(self) -> bytes:
        """As a PDF of one A4 page. Imports matplotlib."""
        from tui.reports.page_pdf import page_pdf

        return page_pdf(self.page)

    def html(self) -> bytes:
        """As one HTML file."""
        from tui.reports.page_html import page_html

        return page_html(self.page).encode()

    def plain(self) -> dict[str, Any]:
        """As plain values."""
        from tui.reports.page_json import page_json

        return page_json(self.card, self.judged, self.page, self.now)

    def json(self) -> bytes:
        """As JSON."""
        from tui.reports.page_json import as_bytes

        return as_bytes(self.plain())


def paper_of(card: Card, now: datetime, known: dict[str, PullResult] | None = None) -> Paper:
    """Everything the page says; results that are in `known` already are taken from there."""
    from tui.version import version

    judged = judged_of(card, {} if known is None else known)
    return Paper(card, judged, page_of(card, judged, now, version()), now)


def judged_of(card: Card, known: dict[str, PullResult]) -> Judged | None:
    """The check of a card, judged; None where no strand was pulled."""
    if card.check is None or not card.check.pulls:
        return None
    from tui.check.judged import judge, read_results

    return judge(card.check, card.reference, read_results(card.check, known))


def write_new(path: Path, data: bytes) -> None:
    """Write a file that is not there yet. Raises FileExistsError where it is, OSError."""
    with path.open("xb") as file:
        file.write(data)


def save_all(paper: Paper, folder: Path) -> list[Path]:
    """Save the page in every form, under one new name. Raises OSError; what was written till then stays."""
    folder.mkdir(parents=True, exist_ok=True)
    code = "-".join(re.findall(r"[\w-]+", paper.card.reference))[:40] or "card"
    stem = f"card_{code}_{paper.now:%Y-%m-%d_%H%M%S}"
    forms: tuple[Callable[[], bytes], ...] = (paper.pdf, paper.html, paper.json)
    paths = [folder / f"{stem}{ending}" for ending in ENDINGS]
    for path, form in zip(paths, forms, strict=True):
        write_new(path, form())
    return paths
