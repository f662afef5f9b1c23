"""Text from a file or a board made fit to stand in a sentence. Knows nothing of where it is shown."""

from __future__ import annotations

#: Longest piece of foreign text quoted in a sentence [characters].
QUOTE_LIMIT = 60


def shown(text: object, limit: int = QUOTE_LIMIT) -> str:
    """Give foreign text without control characters, escape codes or line ends, cut to `limit` characters."""
    clean = "".join(c if c.isprintable() else "�" for c in str(text)[: limit + 1])
    return clean if len(clean) <= limit else clean[: limit - 1] + "…"
