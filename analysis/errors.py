"""What a person gave that can't be used; the message is the sentence they read."""

from __future__ import annotations


class InputError(ValueError):
    """Values that no result can be made of: too few, impossible, or mixed; the message says what to do."""
