"""What the health check of a rig says on its screen."""

from __future__ import annotations

START = "The rig's health"
START_ABOUT = "ten seconds with a connected rig: noise, lost steps, switches, and what each figure means"
QUESTION = "Nothing is in the clamps. Check the rig?"
GO = "Check, and move 5 mm there and back"
STILL = "Check without moving"
RUNNING = "Checking …"
DONE_GOOD = "Nothing is bad. What was not checked is said below."
DONE_BAD = "Something is bad: see below what to do before a strand is pulled."
NO_RIG = "No rig is connected: go back and choose one."
ABOUT = {
    "checkup": (
        "Take everything out of the clamps. The check listens to the rig for a few seconds: press the emergency "
        "stop and the limit switches once each if you want to see them noticed; after that nothing is moved. Then "
        "the stage goes 5 mm out and back and looks for lost steps. Every figure comes with what a bad one means "
        "and what to do. It shows what the rig does today; it certifies nothing."
    ),
}
