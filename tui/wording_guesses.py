"""What the app and the command line say about students' guesses."""

from __future__ import annotations

from typing import Final

# Before the pull
QUESTION = "How far will it stretch before it breaks?"
ABOUT = "Each student feels the strand between two fingers and says a number."
LABEL = "Code and guess"
HINT = "such as K7 35: a code, never a name, and the stretch in %"
NOTHING_TYPED = "Type a code and a guess, such as K7 35; press Enter on an empty line when all have guessed."
CODE_WANTED = "Use a short code of one to six letters and digits, such as K7, then the guess; never a name."
GUESS_WANTED = "The guess is a stretch in %, above 0 and up to {most:g}, such as 35."
KEPT = "{student} guesses {guess:g} %."
KEPT_HIDDEN = "{student} has guessed."
CHANGED = "{student} has changed the guess."
TAKEN_BACK = "{student}'s guess was taken back."
NO_SUCH = "There is no guess of {student} yet: type the code, then the stretch in %."
NOBODY_YET = "Nobody has guessed yet."
COUNT = "{count} guesses about the next strand, shown after the pull:"
COUNT_SHOWN = "{count} guesses about the next strand:"
SHOW_OR_HIDE = "Show the guesses"
GO_ON = "Go on"
GUESSES = "Guesses"

# After the pull
SCORES_QUESTION = "Who was how far off?"
SCORES_MEASURED = "measured"
SCORES_CLOSEST = "closest: {students}"
SCORES_MIDDLE = "middle of the class"
TOO_HIGH = "{off:.1f} too high"
TOO_LOW = "{off:.1f} too low"
SPOT_ON = "spot on"
NOT_SETTLED = (
    "This pull gives no elongation at break ({reason}). The guesses are kept for the next strand; go on to the "
    "result."
)
NO_ROUND = "Nobody has guessed about this strand."
TO_RESULT = "Result"
TO_TERM = "The whole term"

# Over the term
TERM_QUESTION = "Do the guesses come closer?"
TERM_EMPTY = "No guess has a measurement yet: type guesses before a pull, and they are compared after it."
TERM_ABOUT = (
    "On average: guess minus measurement. 95 in 100 guesses: between these two (limits of agreement). Each "
    "session: how far off, the shorter the better."
)
TERM_HEADS: Final = ("code", "guesses", "on average", "95 in 100 guesses", "each session", "")
TERM_CLASS = "all"
DIRECTIONS: Final = {
    "closer": "comes closer",
    "further": "goes further off",
    "unclear": "no clear change",
    "": "too few sessions",
}
TOO_FEW = "too few"

# On the command line
CLI_NONE = "No guess was ever kept here: type them in the app, under Guesses, before a pull."
CLI_ROUND = "{when}  {recording}: measured {measured:.1f} %"
CLI_OPEN = "{when}  not pulled yet"
CLI_TERM = "Over all sessions"
