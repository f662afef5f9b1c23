"""What the lab's journey says: a series set up, pulled strand by strand, and ended when it is enough."""

from __future__ import annotations

STEPS = ("series", "plan", "strand", "pull", "interval")
AND = " and "

# Which strand is next, and why
WHY_TURN = "the groups go in turn, and all have as many"
WHY_FEWEST = "this group has {count} strands, another {most}: the groups go in turn"
WHY_ZONE = "{zone} has the fewest of the zones: {count} so far"
WHY_ZONE_NEW = "no strand from {zone} yet"
WHY_LEFT = "{left} to go"
WHY_REPEATED = "its last pull does not count ({reason}), so the strand is repeated"
NOTHING_TO_REJECT = "There is no last pull that could be rejected. U takes the last step back."
NOTHING_TO_UNDO = "There is nothing to take back."
TAKEN_BACK = "taken back"
TOO_MANY = "A series has at most {most} strands in each group."

# The air
HUMIDITY = "{value} % relative humidity"
TEMPERATURE = "the temperature"
HUMIDITY_NAME = "the humidity"
OUT_OF_RANGE_C = "{value} (20 °C ± 2 °C)"
OUT_OF_RANGE_PCT = "{value} relative humidity (65 % ± 4 %)"
OUT_OF_RANGE = "Outside the standard atmosphere of ISO 139: {what}. Write it beside the result."
NOT_READ = "Nobody has read {what} yet: press C."
AIR_GOOD = "{air}: within the standard atmosphere of ISO 139"

# Which series
LIST_QUESTION = "Which series do you want to work on?"
LIST_NEW = "A new series"
LIST_NEW_ABOUT = "set up on the next screens, one question each"
LIST_FILE = "A new series from a file"
LIST_FILE_ABOUT = "a small text file that says it all"
LIST_KEPT = "Series that were set up"
LIST_ENTRY = "{done} of {planned} strands, begun {day}"
UNDER_WAY = "A series is under way: {name}, {done} of {planned} strands."

# Setting up
SETUP_STEP = "Question {number} of {count}"
NAME_QUESTION = "What is the series called?"
NAME_LABEL = "Name"
NAME_HINT = "as you will look for it: Lightener A, March"
NAME_EMPTY = "Give the series a name."
GROUPS_QUESTION = "Which groups of strands are compared?"
GROUPS_LABEL = "Groups"
GROUPS_HINT = "what their hair went through, separated by commas: untreated, lightened"
GROUPS_EMPTY = "Name at least one group, such as untreated."
CONDITION_QUESTION = "Are the strands pulled wet or dry?"
CONDITION_HINT = "both makes two groups of each: wet and dry are never pooled"
CONDITIONS = {"dry": ("dry",), "wet": ("wet",), "both": ("dry", "wet")}
ZONES_QUESTION = "From which zones of the head are they taken?"
ZONES_LABEL = "Zones"
ZONES_HINT = "separated by commas; the strands go round them in turn"
ZONES_EMPTY = "Name at least one zone, such as crown."
STRANDS_QUESTION = "How many strands has each group?"
STRANDS_LABEL = "Strands"
STRANDS_HINT = "you are told when it is enough, and can add more"
STRANDS_WANTED = "Give a whole number from 1 to {most}."
GAUGE_QUESTION = "How far are the clamps apart?"
KIND_QUESTION = "How is each strand pulled?"
KIND_LABEL = "Pull"
KIND_HINT = "only a pull to the break gives the stretch at break"
KINDS = {
    "pull_to_break": "to the break",
    "stretch_return": "stretch and return",
    "hold": "stretch and hold",
    "proof": "to the guideline and back",
}
SPEED_QUESTION = "How fast?"
SPEED_LABEL = "Speed"
SPEED_HINT = "mm a minute; empty: 60 % of the gauge length a minute"
TEMPERATURE_QUESTION = "How warm is it at the bench?"
TEMPERATURE_LABEL = "Temperature"
TEMPERATURE_HINT = "°C; empty where nobody reads it (ISO 139: 20 °C ± 2 °C)"
HUMIDITY_QUESTION = "How humid is the air at the bench?"
HUMIDITY_LABEL = "Humidity"
HUMIDITY_HINT = "% relative humidity; empty where nobody reads it (ISO 139: 65 % ± 4 %)"
OPERATOR_QUESTION = "Who works at the bench?"
OPERATOR_LABEL = "Your code"
OPERATOR_HINT = "a code, not a name; it may be left out"
TOO_LONG = "Use at most {longest} characters for each name."
TOO_MANY_NAMES = "Name at most {most}."
NOT_POSSIBLE = "Give a number from {low:g} to {high:g} {unit}."

# Setting up from a file
FILE_QUESTION = "Which file sets the series up?"
FILE_LABEL = "File"
FILE_HINT = 'a TOML file: name = "…", groups = ["…"], strands = 5, gauge_length_mm = 30 …'
FILE_EMPTY = "Type the name of a file, or press F2 to go back."
FILE_TOO_LARGE = "{name} is too large to set up a series: name another file."
FILE_NOT_TOML = "{name} is not a TOML file ({why}): correct it, or set the series up on the screens."
FILE_UNKNOWN = "The file says “{key}”, which is not known here: use {known}."
FILE_CHOICE = "Choose one of {options}."
FILE_WRONG = "In the file {key} is “{value}”. {problem}"

# The series on its way
NEXT_QUESTION = "Next: strand {number} of {count}, {group}, from the {zone}"
NEXT_WHY = "Because: {why}."
DONE_WHY = "M adds a strand to each group. In the library the series can be searched for and exported."
DONE_QUESTION = "All planned strands are pulled. Is it enough?"
FOUND_AGAIN = "{count} pulls of this series were recorded before the program ended, and are taken in."
FOUND_AGAIN_ONE = "A pull of this series was recorded before the program ended, and is taken in."
WORKING = "Working out the results …"
LAST = "Last pull: {what}."
LAST_SPOILT = "Where the test went wrong, press R: it is rejected with a reason, and the strand repeated."
LAST_UNREADABLE = "Its recording gives no result: {problem} Press R to reject it and repeat the strand."
GROUP_COUNT = "{done} of {planned}"
GROUP_MEAN = "{mean} ({low} to {high})"
GROUP_TOO_FEW = "pull at least {least}"
GROUP_CENSORED = "median {median}"
ENOUGH = "enough: the mean is known to ±{half}"
MORE = "±{half}; about {more} more for ±{wanted}"
MORE_UNKNOWN = "±{half}; scatters too much for ±{wanted}"
NO_MEAN = "no mean: {reason}"
REJECTED_COUNT = "{count} rejected"
INTERVAL_ABOUT = "Bars: where the mean lies, 95 times in 100. Faint: before the last pull."
MOUNT = "Mounted: pull it"
REJECT = "Reject last"
UNDO = "Take back"
AIR = "Conditions"
ONE_MORE = "One more each"
LAST_RESULT = "Last result"
UNDONE = "The last step was taken back."
REJECTED = "The last pull does not count: {reason}. Its recording stays, with the reason."
AIR_QUESTION = "What do thermometer and hygrometer at the bench read?"
AIR_SET = "From now on the recordings say: {air}."

# Rejecting
REJECT_QUESTION = "Why does the last pull not count?"
REASONS = (
    "it slipped in a clamp",
    "it broke at the clamp",
    "two strands were in the clamps",
    "it was mounted crooked",
    "it was the wrong strand",
    "the rig was touched",
)
REASON_OWN = "Another reason"
REASON_OWN_ABOUT = "type it"
REASON_QUESTION = "What was wrong with the last pull?"
REASON_LABEL = "Reason"
REASON_HINT = "it stays beside the recording"
REASON_EMPTY = "Type a reason, or press F2 to go back."

# The strand of a series
STRAND_QUESTION = "Is the strand measured?"
STRAND_ABOUT = "{group}, strand {number}, from the {zone}"

# Start
START = "A series"
START_ABOUT = "several groups of strands by a plan, until it is enough"

ABOUT = {
    "series_list": (
        "A series is a plan: which groups of strands, from which zones, how many of each and how they are pulled. "
        "Choose one that was begun, or set up a new one. Everything is kept after each step: the program may "
        "end at any moment."
    ),
    "series_setup": (
        "One question a screen. Enter goes on, F2 goes back to the question before. Nothing is pulled yet, and the "
        "series is kept once the last question is answered."
    ),
    "series_file": (
        "A series can come from a small TOML file with the same names as the questions: name, groups, condition "
        "(dry, wet or both), zones, strands, gauge_length_mm, kind (pull_to_break, stretch_return, hold or proof), "
        "speed_mm_min, temperature_c, humidity_pct, operator. What is left out is as on the screens."
    ),
    "series": (
        "The screen says which strand is next and why. Mount it so that it just hangs slack, and press Enter. "
        "After each pull the bar of its group narrows: it shows where the mean of such strands lies, 95 times in "
        "100. It is enough when the mean is known to ±3 %. R rejects the last pull with a reason; it stays in the "
        "file and its strand is repeated. U takes the last step back. C takes down temperature and humidity "
        "again."
    ),
    "series_reject": (
        "A rejected pull does not count, and its strand is repeated. The recording is kept and the reason stays "
        "beside it, in the series and in every table that is exported. Reject what went wrong with the test, never "
        "a result that only surprises you."
    ),
    "series_air": (
        "Hair takes up water from the air, and water changes how it stretches. ISO 139 asks for 20 °C ± 2 °C and "
        "65 % ± 4 % relative humidity. What you type stands in the header of every recording from now on."
    ),
    "series_strand": (
        "With the diameter, stress is given too (force over the cross-section). It may be left out. Everything "
        "else of this strand is known from the plan."
    ),
}
