"""What each screen is for, in a few sentences, as the help shows it. Paragraphs go by the name of their screen."""

from __future__ import annotations

from tui import wording_check, wording_checkup, wording_lab, wording_lesson, wording_library

ABOUT = {
    **wording_lesson.ABOUT,
    **wording_check.ABOUT,
    **wording_checkup.ABOUT,
    **wording_lab.ABOUT,
    **wording_library.ABOUT,
    "start": (
        "Say what you are here for; each entry leads through its own steps, one question a screen. Where a rig is "
        "needed you are asked which one; the simulated rig is always there, and moves nothing."
    ),
    "connect": (
        "Choose the rig you work with. A rig that is plugged in shows up as a port; press F5 after plugging it in. "
        "The simulated rig needs nothing and moves nothing: it behaves like a real one, with an invented strand."
    ),
    "address": (
        "Type where the rig is: a device name as your system gives it, or an address such as tcp://host:port for a "
        "rig on the network or a simulated one that another program serves."
    ),
    "simulate": (
        "Choose the strand that hangs in the simulated rig, and how fast its time goes. Some strands are sound, "
        "some are damaged, one slips, one never breaks: try them all."
    ),
    "caution": (
        "Read the cautions and confirm them. They are shown once, before anything moves. The instructions of the "
        "product's manufacturer, local codes and licensed practice come first."
    ),
    "strand": (
        "Say which strand is in the clamps. Only the gauge length must be given: the distance between the clamps. "
        "With the diameter, stress (force over the cross-section) is given too. Use a code for the client, never a "
        "name. Mount the strand so that it just hangs slack: the pull takes the force zero first. A pull to the "
        "break uses the strand up. A proof stretches it to 20 % and no further, and keeps it. Stretch and return "
        "also waits two minutes and looks how much of the stretch came back. A hold keeps it stretched for a "
        "minute and watches the force fall."
    ),
    "pull": (
        "Enter takes the force zero and starts the motor. The curve shows force over stretch as it is measured; "
        "the line marks the guideline. The motor stops by itself at the break and at its limits, and when you "
        "press Esc."
    ),
    "move_back": (
        "After a pull the stage stands where the strand broke. Take the rest of the strand out, keep your fingers "
        "clear, and let the stage move back before you mount the next strand."
    ),
    "result": (
        "The result is worked out from the recording, every time anew. The ± behind a value says how sure it is. "
        "The strand passes three regions: elastic (it springs back), yield (it gives way slowly) and post-yield "
        "(it stiffens until it breaks). One strand is an anecdote: test several, from several zones. Arrow keys "
        "read the curve, + and - zoom, 0 shows it whole."
    ),
    "note": "A note is kept in a file beside the recording. The recording itself is never changed.",
}
