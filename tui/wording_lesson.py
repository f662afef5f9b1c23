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
    "post_yield": "The zones that hold more firmly are stretched now: the strand stiffens again until it breaks.",
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
BIG_SCREEN = "Big screen"
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
NO_GROUPS = "A group's spread takes at least three strands of the same history: add more recordings."
NO_STRESS = "Stress takes the diameter of every strand, and not every recording here has one."
CHOOSE_QUESTION = "Which recording shall be played?"
CHOOSE_ANOTHER = "Which recording shall be played in step with it?"
STRESS_TITLE = "Stress"
