"""The keys that do something here and now, in one row; as many as fit, the most important first."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from textual.app import App
from textual.binding import ActiveBinding
from textual.screen import Screen

from tui.widgets.cells import Span
from tui.widgets.painted import Painted

#: Plain letters for the signs on keys.
PLAIN_ARROWS = str.maketrans("←→↑↓−", "<>^v-")


def key_spans(keys: Iterable[tuple[str, str]], width: int) -> list[Span]:
    """Keys and what they do, cut at a whole entry where the row is full."""
    spans = [Span(" ", "blank")]
    used = 1
    for key, does in keys:
        length = len(key) + len(does) + 4
        if used + length > width + 3:
            continue
        spans += [Span(key, "key"), Span(f" {does}   ", "quiet")]
        used += length
    return spans


def shown_keys(screen: Screen[Any]) -> list[tuple[str, str]]:
    """Key and description of what can be done now, each once: Enter, then the screen's keys, then all others."""
    seen: dict[str, tuple[str, str]] = {}
    for active in sorted(screen.active_bindings.values(), key=_rank):
        binding = active.binding
        if active.enabled and binding.show and binding.description and binding.action not in seen:
            seen[binding.action] = (binding.key_display or _written(binding.key), binding.description)
    return list(seen.values())


def _rank(active: ActiveBinding) -> int:
    """How far behind a key stands."""
    if active.binding.key == "enter":
        return 0
    if isinstance(active.node, Screen):
        return 1
    return 3 if isinstance(active.node, App) else 2


def _written(key: str) -> str:
    """A key as it is written on a keyboard: "ctrl+q" is "Ctrl+Q"."""
    return "+".join(part.capitalize() for part in key.split("+"))


class KeyLine(Painted):
    """The row on the screen; follows the bindings that are active."""

    def __init__(self, *, blocks: bool = True) -> None:
        super().__init__(id="key-line")
        #: Whether the terminal has signs such as arrows.
        self._blocks = blocks
        self._keys: list[tuple[str, str]] = []

    def on_mount(self) -> None:
        """Follow the bindings from now on."""
        self.screen.bindings_updated_signal.subscribe(self, self._take)
        self._take(self.screen)

    def _take(self, screen: Screen[Any]) -> None:
        keys = shown_keys(screen)
        if not self._blocks:
            keys = [(key.translate(PLAIN_ARROWS), does) for key, does in keys]
        if keys != self._keys:
            self._keys = keys
            self.refresh()

    def row(self, y: int) -> Sequence[Span]:
        """The only row."""
        return key_spans(self._keys, self.size.width)
