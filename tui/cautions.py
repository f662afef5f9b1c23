"""What a person is told before the motor moves, once a session, in the app and on the command line alike.

Common practice at a bench with moving parts, no source; the maker's and the local rules come before it.
"""

from __future__ import annotations

CAUTIONS = (
    "Wear eye protection: a strand that breaks whips, and a glass or plastic clamp can splinter.",
    "Keep fingers, hair, sleeves and jewellery clear of the stage: the motor starts without another warning.",
    "Know where the emergency stop is, and have the power switch within reach.",
    "Strands that were treated may still carry chemicals: gloves on, rinse them first, and keep allergies in mind.",
)

DEFERENCE = (
    "This rig is not a medical or certified device, and one strand is one of several tests before a chemical "
    "service. Follow the instructions of the product's manufacturer, local codes and licensed practice: they "
    "come before anything this program says."
)

CONFIRM = "Is everyone's eye protection on, and is the stage clear?"
