"""Every sentence and word that the app shows, in one place, so that it can be read, checked and translated.

Plain words of the trade; a term is spelled out where it first stands. British spelling. Nothing here says that
a treatment is safe.
"""

from __future__ import annotations

PROGRAM = "strandbench"
OPENING = "Opening …"

# Frame of every screen
STEPS = ("rig", "caution", "strand", "pull", "result")
KEY_STOP = "Esc"
STOP_STILL = "stops the motor at any time, whatever else you are doing"
STOP_MOVING = "STOP THE MOTOR"
STOP_ASKED = "STOPPING THE MOTOR"
TOO_SMALL = "Too small: make this window at least 60 by 16."
TOO_SMALL_STOP = "Esc still stops the motor."

# What the rig is and does
NO_RIG = "no rig connected"
SIMULATED = "SIMULATED"
LINK_GOOD = "link good"
LINK_LOSSES = "link with losses"
LINK_GONE = "LINK LOST"
RATE = "{rate:.0f} readings/s"
LOST = "{count} lost"
BAD = "{count} damaged"
MOTOR_STILL = "motor stands still"
MOTOR_RUNS = "MOTOR RUNS"

# Bindings, as the key line shows them
GO_ON = "Go on"
BACK = "Back"
HELP = "Help"
LOOKS = "Looks"
LEAVE = "Leave"
LIBRARY = "Recordings"
CHOOSE = "Choose"

# What the person is here for
START_QUESTION = "What are you here for?"
START_NO_RIG = "No rig is connected yet: there is a simulated one to practise with, and demonstration recordings."
START_CHECK = "A strength check"
START_CHECK_ABOUT = "a few strands of one head, and the card of tests before a chemical service"
START_PULL = "One strand"
START_PULL_ABOUT = "pull a single strand and see its curve"
START_LIBRARY = "Recordings"
START_LIBRARY_ABOUT = "earlier pulls, and the demonstration ones"

# Which rig
CONNECT_QUESTION = "Which rig do you want to work with?"
CONNECT_SIMULATED = "The simulated rig"
CONNECT_SIMULATED_ABOUT = "to practise and to teach: nothing moves"
CONNECT_ADDRESS = "Another address"
CONNECT_ADDRESS_ABOUT = "a device name, or tcp://host:port"
CONNECT_LIBRARY = "Recordings"
CONNECT_LIBRARY_ABOUT = "earlier pulls, and the demonstration ones"
CONNECT_NO_PORTS = "No serial port was found. Plug the rig in and press F5, or try the simulated rig."
CONNECT_BUSY = "Connecting to {address} …"
CONNECT_REFRESH = "Look again"
ADDRESS_QUESTION = "What is the rig's address?"
ADDRESS_LABEL = "Address"
ADDRESS_HINT = "a device name such as /dev/ttyUSB0 or COM3, or tcp://host:port"
ADDRESS_EMPTY = "Type the rig's address, or press F2 to go back to the list."
SIMULATE_QUESTION = "Which strand hangs in the simulated rig?"
SIMULATE_ABOUT = "Every strand is invented. Nothing moves."
SIMULATE_PACE = "Pace"
SIMULATE_PACES = ("real time", "4 times faster", "20 times faster")
SIMULATE_PACE_KEY = "Pace"
SIMULATE_STARTING = "Starting the simulated rig …"

# Caution
CAUTION_SIMULATED = "This rig is simulated: nothing moves. At a real one:"
CAUTION_CONFIRM = "Yes, all is clear"

# The strand
STRAND_QUESTION = "Which strand is in the clamps?"
STRAND_REFERENCE = "Reference code"
STRAND_REFERENCE_HINT = "a code for the client, never a name"
STRAND_ZONE = "Zone of the head"
STRAND_ZONES = ("not said", "front hairline", "crown", "left side", "right side", "nape")
STRAND_HISTORY = "History"
STRAND_HISTORY_HINT = "untreated, coloured, lightened, permed, relaxed …"
STRAND_CONDITION = "Wet or dry"
STRAND_CONDITIONS = ("dry", "wet", "not said")
STRAND_KIND = "Kind of pull"
STRAND_KINDS = ("to the break", "proof", "stretch and return", "hold")
STRAND_GAUGE = "Gauge length"
STRAND_GAUGE_HINT = "mm between the clamps"
STRAND_DIAMETER = "Diameter"
STRAND_DIAMETER_HINT = "µm, where it was measured; stress needs it"
STRAND_FIX = "Correct what is marked, then go on."
STRAND_MOVE = "Line"
NOT_SAID = "not said"
NUMBER_WANTED = "Give a number such as {example}."
TEXT_TOO_LONG = "Use at most {longest} characters."

# The pull
PULL_QUESTION = "Ready to pull?"
PULL_READY = "The strand hangs slack in both clamps, and every finger is clear of the stage."
PULL_GO = "Take the zero and pull"
PULL_PLAN = "{gauge:g} mm between the clamps, {speed:g} mm a minute"
PULL_FORCE = "force"
PULL_STRETCH = "stretch"
PULL_TIME = "time"
PULL_ANALYSING = "Working out the result from the recording …"
PULL_CLEARED = "The cause is gone"
AXIS_STRETCH = "Stretch"
AXIS_FORCE = "Force"
GUIDELINE = "guideline {percent:g} %"

# Moving back
BACK_QUESTION = "Move the stage back?"
BACK_ABOUT = (
    "The stage stands where the last strand ended. Take what is left of the strand out of the clamps, and keep "
    "fingers, hair and sleeves clear: the stage moves back to where the pull began."
)
BACK_GO = "Move back"
BACK_SKIP = "Leave it there"
BACK_STOPPED = "The stage was stopped on its way. Press Enter to move it on."

# The result
RESULT_QUESTION = "What the strand showed"
RESULT_NEXT = "Next strand"
RESULT_NOTE = "Add a note"
RESULT_DETAILS = "Details"
RESULT_UNREADABLE = "This recording gives no result: {problem}"
REGION_NAMES = {"elastic": "elastic", "yield": "yield", "post_yield": "post-yield"}
NOTE_QUESTION = "What should be remembered about this pull?"
NOTE_LABEL = "Note"
NOTE_KEEP = "Keep it"
NOTE_NOT_KEPT = "The note could not be kept ({problem}): check the folder and the disk."
NOTE_HINT = "kept beside the recording; the recording itself is not changed"
NOTE_SAVED = "The note was kept in {name}."
NOTE_EMPTY = "Type a note, or press F2 to leave it."

# The library
LIBRARY_QUESTION = "Which recording do you want to look at?"
LIBRARY_OWN = "Recordings in {folder}"
LIBRARY_DEMO = "Demonstration recordings, of invented strands"
LIBRARY_EMPTY = "There is no recording here yet: pull a strand, and it will be."

# Help and leaving
HELP_QUESTION = "What is this screen for?"
LEAVING = "Stopping the motor and ending the recording before leaving …"
