"""What the app says in a lesson: the display for a room, playing recordings, guesses, the class's browsers."""

from __future__ import annotations

from typing import Final

# What happens in the fibre, region by region. Feughelman, J. Soc. Cosmet. Chem. 33 (1982) 385-406, p. 396 and 401:
# up to about 2 % the alpha-helices are stretched; from there to 25-30 % they unfold, zone after zone, at nearly the
# same stress; beyond, the zones whose helices are held by more cross-links are extended, and the fibre stiffens.
FIBRE: Final = {
    "": "The strand is still slack: nothing in it is stretched yet.",
    "elastic": "The coiled molecules (alpha-helices) stretch like springs; let go now, and they spring back.",
    "yield": "Helix after helix unfolds, so the strand gives way at nearly the same force.",
    "post_yield": "Zones that hold more firmly are stretched now: the strand stiffens until it breaks.",
}
REGION_WORDS: Final = {"": "slack", "elastic": "elastic", "yield": "yield", "post_yield": "post-yield"}
BROKE_WORD = "broke"
BROKE_SENTENCE = "The strand broke at {stretch} of stretch and {load}."
ENDED_WORD = "ended"
ENDED_SENTENCE = "The curve ends here: {what}."

# How a curve ends, beside its last point; by the outcome of the result
END_WORDS: Final = {
    "broke": "broke",
    "slipped": "slipped",
    "clamp_break": "broke at the clamp",
    "no_break": "not broken",
    "stopped": "stopped",
    "bad_test": "spoilt",
}
HALF_BROKEN = "half are broken"
BREAK_AT = "broke at {percent:.1f} %"
END_AT = "{word} at {percent:.1f} %"

# Playing recordings
PLAY_IT = "Play"
PLAY = "Play or pause"
PLAY_STEP = "Step"
PLAY_LEAP = "Leap"
PLAY_SPEED = "Speed"
PLAY_BREAK = "To the break"
PLAY_START = "To the start"
PLAY_END = "To the end"
PLAY_BESIDE = "Side by side"
PLAY_GROUPS = "Groups"
PLAY_STRESS = "Force or stress"
PLAY_ADD = "Add a recording"
PLAY_FEWER = "Take the last one off"
PLAY_RESULT = "Result"
NEXT_STRAND = "Next strand"
PLAY_LOADING = "Working out the curves …"
PLAYING = "playing"
PAUSED = "paused"
AT_END = "at the end"
SPEED = "{speed} × as fast as it was pulled"
SPEED_SHORT = "{speed} ×"
AGAINST = "{first} against {second}"
SEVERAL = "{count} strands in step"
SIMULATED_TITLE = "{title} (simulated)"
GROUP_NAME = "{name} ({count})"
NO_CURVE = "{name} has no curve to play."
NOTHING_CHOSEN = "No recording was chosen: press A to choose one."
NO_ROOM_BESIDE = "There is no room for so many curves side by side: widen the window, or take some off."
CHOOSE_QUESTION = "Which recording shall be played?"
CHOOSE_ANOTHER = "Which recording shall be played in step with it?"
STRESS_TITLE = "Stress"

# The lesson
START_LESSON = "A lesson"
START_LESSON_ABOUT = "for a class: guesses, the big screen, strands played in step"
LESSON_QUESTION = "What comes next in the lesson?"
#: Screen (or "pull"), title, and what it is.
LESSON_ENTRIES: Final = (
    ("guesses", "Guesses", "what each student feels by finger, typed in before the pull"),
    ("pull", "Pull a strand", "on the big screen, each region named as it is passed"),
    ("choose", "Play recordings", "one, or several in step: damaged against healthy"),
    ("term", "The whole term", "whether the guesses come closer to what is measured"),
    ("sharing", "The class's browsers", "a page with the live curve for the machines in the room"),
)

#: What the lecturer's screens are for, as the help shows it.
ABOUT: Final = {
    "lesson": (
        "A lesson may go like this: the class feels the strand and guesses how far it will stretch; the guesses "
        "are typed in; the strand is pulled on the big screen; the table shows who was how far off; then "
        "recordings are played side by side, damaged against healthy."
    ),
    "guesses": (
        "Type each student's code and guess, such as K7 35, and press Enter. Use codes or initials, never full "
        "names. A guess typed again replaces the one before; the code alone takes it back. The guesses stay "
        "hidden until the pull, so that nobody is led by somebody else's; F4 shows them. Every guess is kept as "
        "it is typed, and waits for the next pull even if the program is closed."
    ),
    "scores": (
        "The closest guess stands at the top. The upright line is what the rig measured, the dot what the student"
        " said. A strand that slipped or did not break settles nothing: the guesses wait for the next strand."
    ),
    "term": (
        "On average: how far the guesses lie above (+) or below (−) what was measured. 95 in 100 guesses: the "
        "limits of agreement, between which nearly all differences lie. Each session: a bar for every day, as "
        "high as the guesses were off. The last column says whether they come closer, as far as that can be told."
    ),
    "room_pull": (
        "As every pull, for the back of the room: Enter takes the force zero and starts the motor, Esc stops it. "
        "The word above the curve is the region that the strand passes now, as far as can be told while it is "
        "pulled; the result works the regions out from the whole curve. F8 takes further guesses before the pull."
    ),
    "sharing": (
        "Open a page that browsers can look at: the live curve, the last result, and the recordings that you "
        "play. It is for this computer alone, or for every machine on the network whose user types the word that "
        "stands here. Nobody who looks on can move anything. The page stays open while you go on with the lesson,"
        " until you close it here or leave the program."
    ),
    "choose": (
        "Choose a recording to play. When one is chosen already, the next one is played in step with it: both are"
        " shown at the same stretch at the same moment. The demonstration recordings are of invented strands."
    ),
    "show": (
        "Space plays and pauses. The arrow keys step; with Shift they leap; up and down change the speed, which "
        "is counted in how fast the strand was pulled. B goes to the next break, Home and End to either end. A "
        "adds a recording, X takes the last one off; S sets curves side by side; G shows groups of three and more"
        " strands as their median with the middle half of the strands dotted around it; Y shows stress (force "
        "over cross-section) where every diameter is known."
    ),
}
