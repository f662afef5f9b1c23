# SPDX-License-Identifier: GPL-3.0-or-later
"""What a deliberate bug of the firmware is: a change of one place. The bugs themselves stand beside."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Mutant:
    """In `file`, `old` (found once) becomes `new`; `caught_by` names a test and its parameters, or a session."""

    name: str
    file: str
    old: str
    new: str
    caught_by: str
    parameters: tuple[object, ...] = ()

    def __str__(self) -> str:
        return self.name.replace(" ", "_")


@dataclass(frozen=True, slots=True)
class Survivor:
    """A bug that the bench does not see, and why."""

    name: str
    file: str
    old: str
    new: str
    why: str
