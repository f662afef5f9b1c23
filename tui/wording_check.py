"""Every sentence of the strength check: the client, the plan, the strands, the result of the set.

What the card says is in `tui.wording_card`. Nothing here says that a treatment may go ahead.
"""

from __future__ import annotations

# The way through the check, as the trail shows it
STEPS = ("client", "plan", "strand", "pull", "result", "card")

# The choice of a card
MENU_QUESTION = "Which client's hair is it about?"
MENU_NEW = "A new client card"
MENU_NEW_ABOUT = "a strength check, and the other tests before a chemical service"
MENU_GOES_ON = "Under way: go on where you were"
MENU_OTHERS = "Other cards, the newest first"
MENU_STRANDS = "{done} of {planned} strands pulled, begun {when}"
MENU_OPENED = "opened {when}, {points}"
POINTS_NONE = "no open point"
POINTS_ONE = "1 open point"
POINTS_MANY = "{count} open points"

# The client
CLIENT_QUESTION = "Whose hair is it, and who tests it?"
CLIENT_REFERENCE = "Client code"
CLIENT_REFERENCE_HINT = "a code such as HK-204, never a name"
CLIENT_BY = "Your code"
CLIENT_BY_HINT = "your initials or a staff code, beside what you record"
CLIENT_HISTORY = "Hair history"
CLIENT_HISTORY_HINT = "untreated, coloured, lightened, permed, relaxed, heat …"
CLIENT_KNOWN = "There is a card for {reference} of {when}. Press Enter to go on with it, or F4 for a new one."
CLIENT_NEW_CARD = "New card"
CODE_EMPTY = "Give a code, such as {example}."
CODE_NAME = "This looks like a name. Use a code, such as {example}: names of people are not kept here."
CODE_MAIL = "This looks like an e-mail address. Use a code, such as {example}: contact details are not kept here."
CODE_PHONE = "This looks like a telephone number. Use a code, such as {example}: contact details are not kept here."
CODE_LONG = "Use a code of at most {longest} characters."
CODE_UNSEEN = "This has signs in it that cannot be seen. Type it anew."
EXAMPLE_REFERENCE = "HK-204"
EXAMPLE_BY = "B7"

# The plan
PLAN_QUESTION = "Which strands do you take, and how are they tested?"
PLAN_CONDITION = "Wet or dry"
CONDITIONS = ("dry", "wet")
PLAN_ZONES = "Zones"
PLAN_ZONES_HINT = "space bar takes or leaves the zone pointed at"
ZONES = ("front hairline", "crown", "left side", "right side", "nape")
PLAN_STRANDS = "Strands"
PLAN_STRANDS_HINT = "five are usual: fewer than three give no result"
PLAN_GAUGE = "Gauge length"
PLAN_GAUGE_HINT = "mm between the clamps, the same for every strand"
PLAN_COUNT_WANTED = "Give a whole number of strands from {fewest} to {most}, such as 5."
PLAN_NO_ZONE = "Take at least one zone (space bar)."
TOGGLE = "Take or leave"

# The strands
PULL_QUESTION = "Strand {number}, from the {zone}: ready to pull?"
STRAND_QUESTION = "Next: strand {number} of {planned}, from the {zone}"
STRAND_DONE_QUESTION = "All {planned} strands are pulled"
STRAND_HOW = (
    "Take one whole strand from the {zone}: a hair that was shed, or one cut close to the scalp. "
    "Leave it {condition}. Mount it so that it just hangs slack between the clamps, {gauge:g} mm apart."
)
STRAND_DRY, STRAND_WET = "dry", "wet: dip it in water for five minutes first, and pull it wet"
STRAND_ALL_DONE = "Press Enter to see the result of the set."
STRAND_REPEAT = "Repeat this strand"
STRAND_UNDO = "Undo last"
STRAND_FINISH = "Finish now"
STRAND_CARD = "Card"
STRAND_OFFER = "Strand {number}: {reason}. Press R to repeat it with another strand from the same zone."
STRAND_UNDONE = "Taken back: strand {number} is pulled again. Its recording stays in the folder."
STRAND_COUNTED = "Strand {number} counts again."
STRAND_FOUND = "A pull that was under way when the program ended was found, and is in the list."
STRAND_WORKING = "Working out the results from the recordings …"
LINE_NEXT = "next"
LINE_LATER = "to come"
LINE_WORKING = "working out …"
LINE_UNREAD = "no result: {problem}"
LINE_ASIDE = "left out: {reason}"
NOTHING_TO_UNDO = "There is nothing to take back."
NOTHING_TO_REPEAT = "Only the strand that was pulled last can be repeated."
CHECK_OVER = "This check has ended; add a strand to go on with it."
CHECK_FULL = "All planned strands are pulled; add a strand to go on."
TOO_MANY_STRANDS = "A check has at most {most} strands."
CHECK_EMPTY = "Pull at least one strand first."

# What a strand says, in a word: by its verdict, and what stands before a stretch that was not the break
WORDS_BY_VERDICT = {
    "meets": "meets the guideline",
    "below": "below the guideline",
    "too_close": "too close to call",
    "no_verdict": "no verdict",
}
VERDICT_SIGNS = {"meets": "✔", "below": "✘", "too_close": "≈", "no_verdict": "–"}
VERDICT_ROLES = {"meets": "good", "below": "bad", "too_close": "unsure", "no_verdict": "unsure"}
AT_LEAST = "at least {value}"

# Why a strand does not count
ASIDE_QUESTION = "Why does strand {number} not count?"
ASIDE_ABOUT = "The recording stays in the folder, and the page lists it with the reason."
ASIDE_REASONS = {
    "slipped": "it slipped in a clamp",
    "clamp_break": "it broke at a clamp",
    "stopped": "the pull was stopped",
    "bad_test": "the pull cannot be judged",
    "two": "two strands were in the clamps",
    "mounted": "it was mounted crooked",
    "other": "something else went wrong at the rig",
}
ASIDE_TAKEN_BACK = "taken back"
ASIDE_SUGGESTED = "this is what the recording shows"

# The result of the set
RESULT_QUESTION = "What the strands of {reference} showed"
RESULT_WORDS = {
    "meets": "As a set they reach the guideline of {guideline:g} %",
    "below": "As a set they are below the guideline of {guideline:g} %",
    "mixed": "Not alike: some reach the guideline of {guideline:g} %, some do not",
    "too_close": "Too close to call against the guideline of {guideline:g} %",
    "unsettled": "No verdict on the set",
}
RESULT_SIGNS = {"meets": "✔", "below": "✘", "mixed": "≈", "too_close": "≈", "unsettled": "–"}
RESULT_ROLES = {"meets": "good", "below": "bad", "mixed": "unsure", "too_close": "unsure", "unsettled": "unsure"}
HEAD_MEASURED = "What was measured"
HEAD_SURE = "How sure that is"
HEAD_NOT_TOLD = "What it does not tell"
HEAD_STRANDS = "The strands, one by one"
MEASURED_HOW = "{count} strands ({condition}) were pulled, from {zones}; {gauge:g} mm between the clamps."
MEASURED_ONE = "1 strand ({condition}) was pulled, from {zones}; {gauge:g} mm between the clamps."
MEASURED_RANGE = "The weakest broke at {smallest} (strand {number}, {zone}); the one that went furthest, {largest}."
MEASURED_NONE = "No strand that counts has been pulled yet."
SURE_INTERVAL = "For such strands the mean lies between {low:.1f} % and {high:.1f} % (95 times in 100)."
SURE_BOUND = "Nine strands in ten of such hair stretch further than {bound:.0f} % (95 % sure)."
SURE_NO_BOUND = "With so few strands nothing can be promised about nine strands in ten: pull more to learn that."
SURE_NONE = "How sure cannot be said: {reason}."
SURE_MORE = "{count} more strands would bring the mean to within about 3 %."
SURE_MORE_ONE = "1 more strand would bring the mean to within about 3 %."
SURE_ASIDE = "{count} pulls do not count; they are listed with the reason."
SURE_ASIDE_ONE = "1 pull does not count; it is listed with the reason."
NOT_TOLD = (
    "It says nothing about the skin, about allergies, or about how a product will act on this hair.",
    "Stretch alone finds gross damage only: lightened hair can stretch further than sound hair before it breaks.",
    "It speaks for the zones and lengths that were tested, as they were ({condition}), and for few hairs of many.",
    "It does not replace the other tests, the manufacturer's instructions, or a trained person's judgement.",
)
RESULT_CARD = "Card of tests"
RESULT_PAGE = "Save the page"
RESULT_MORE = "One more strand"
RESULT_STRANDS = "Strands"
SIMULATED_MARK = "SIMULATED RIG: invented strands, no real hair was tested"

# What is under way, as the first screen says it
UNDER_WAY_CHECK = "The strength check of {reference} is under way: {done} of {planned} strands are pulled."
UNDER_WAY_TESTS = "{count} tests of the cards are running or ready to be read."
UNDER_WAY_TEST = "{test} of {reference}: {state}."

# What each screen is for, as the help shows it
ABOUT = {
    "check": (
        "Choose whose card you work on, or begin a new one. A check or a test that was begun is kept at every "
        "step: it is here again after the program, or the computer, was off."
    ),
    "check_client": (
        "Give the client's code, never a name, and your own code. The hair's history is what was done to it: "
        "untreated, coloured, lightened, permed, relaxed, heat. It stands on the page."
    ),
    "check_plan": (
        "Say from which zones of the head strands are taken, how many, and whether they are tested wet or dry: "
        "the two are never taken together. Damage often sits in one zone, so spread the strands over several. The "
        "gauge length is the distance between the clamps."
    ),
    "check_strands": (
        "The next strand and its zone are said at the top. After each pull the list has a line more. A strand "
        "that slipped or broke at a clamp shows only how far it went at least: repeat it with R, and say why. U "
        "takes the last step back; nothing that was recorded is deleted."
    ),
    "check_pull": (
        "Enter takes the force zero and starts the motor. It stops by itself at the break and at its limits, and "
        "when you press Esc. Then the list of strands comes again."
    ),
    "check_back": (
        "The stage stands where the last strand broke. Take what is left of it out, keep your fingers clear, and "
        "let the stage move back before you mount the next strand."
    ),
    "check_aside": (
        "Say why the strand does not count; another one of the same zone is pulled instead. Strands are not left "
        "out because their result is not liked: the page lists each with its reason."
    ),
    "check_result": (
        "What the strands say together, how sure that is, and what it does not tell. It is worked out from the "
        "recordings, every time anew. One more strand can be added; F6 saves the page as PDF, HTML and JSON."
    ),
    "card": (
        "The tests that are made before a chemical service: what was found, when, by whom, and what is still open "
        "or has expired. A running test goes on while the program is off. The card never decides whether a "
        "service may go ahead: that is for the manufacturer's instructions and a licensed person."
    ),
    "card_test": (
        "Record what the test showed. A timed test is started here; a negative result counts only after its full "
        "time, a positive one at any time. A result is never overwritten: the earlier ones stay on the card."
    ),
}
