"""Every sentence of the card of tests before a chemical service, and of the page that is printed of it.

The tests and their times are common practice in the trade, no source; the instructions of the product's
manufacturer come before all of them. Nothing here says that a treatment may go ahead.
"""

from __future__ import annotations

# The card
CARD_QUESTION = "Card of {reference}: which test do you want to record?"
CARD_ABOUT = "opened {when} by {by}; hair history: {history}"
NOT_SAID = "not said"
KINDS = {
    "porosity": "Porosity",
    "elasticity": "Elasticity",
    "incompatibility": "Incompatibility",
    "skin": "Skin test",
}
CARD_PAGE = "Save the page"
TIMER = "readable {left}"
CHECK_UNDER_WAY = "{done} of {planned} strands pulled"
CARD_MENU = "All cards"
HEADLINE_STOP = "Do not proceed"
HEADLINE_OPEN_ONE = "1 point is open"
HEADLINE_OPEN = "{count} points are open"
HEADLINE_NONE = "No point is open on this card"
HEADLINE_NONE_MORE = "What follows is for the manufacturer's instructions and a licensed person to decide."
STATES = {
    "open": "not done",
    "running": "running",
    "readable": "ready to be read",
    "expired": "expired",
    "fine": "done",
    "heed": "take heed",
    "stop": "POSITIVE",
    "clock": "clock in doubt",
}
STATE_SIGNS = {
    "open": "○", "running": "◔", "readable": "●", "expired": "×", "fine": "✔", "heed": "!", "stop": "✘",
    "clock": "?",
}  # fmt: skip
STATE_ROLES = {
    "open": "quiet", "running": "reading", "readable": "key", "expired": "unsure", "fine": "good", "heed": "unsure",
    "stop": "bad", "clock": "unsure",
}  # fmt: skip

# Outcomes, by test and key
OUTCOMES = {
    "porosity": {
        "good": "good",
        "porous": "porous",
        "over-porous": "over-porous",
        "resistant": "resistant",
    },
    "elasticity": {
        "meets": "reaches the guideline, by the rig",
        "below": "below the guideline, by the rig",
        "mixed": "not alike from strand to strand, by the rig",
        "too_close": "too close to call, by the rig",
        "unsettled": "no verdict on the set, by the rig",
        "good-by-hand": "good, by hand",
        "poor-by-hand": "poor, by hand",
    },
    "incompatibility": {
        "none": "negative",
        "heat": "positive: it grew warm",
        "bubbling": "positive: it bubbled",
        "colour": "positive: the colour changed",
        "falls-apart": "positive: the hair falls apart",
        "several": "positive: several of these were seen",
    },
    "skin": {
        "none": "negative",
        "redness": "positive: redness",
        "swelling": "positive: swelling",
        "burning": "positive: burning",
        "blistering": "positive: blistering",
        "itching": "positive: itching",
        "several": "positive: several of these",
    },
}
#: What tells an outcome, where its name does not say it.
OUTCOMES_ABOUT = {
    "porosity": {
        "good": "smooth from the ends to the scalp",
        "porous": "rough here and there",
        "over-porous": "rough and spongy",
        "resistant": "very smooth and hard",
    },
    "elasticity": {
        "good-by-hand": "it stretches and comes back",
        "poor-by-hand": "it breaks under slight strain",
    },
    "incompatibility": {"none": "nothing was seen"},
    "skin": {"none": "nothing was seen or felt"},
}

# Open points, by test and state
POINT_OPEN = {
    "porosity": "Porosity has not been judged yet.",
    "elasticity": "Elasticity has not been tested yet.",
    "incompatibility": "The incompatibility test has not been started yet.",
    "skin": "The skin test has not been started yet.",
}
POINT_RUNNING = "{test}: running since {start}; it can be read from {readable} on ({left})."
POINT_READABLE = "{test}: read it now, by {until} at the latest."
POINT_UNREAD = "{test}: started {start} and not read by {until}: it has expired, do it anew."
POINT_EXPIRED = "{test}: the result of {at} is older than {holds} and has expired: do it anew."
POINT_CLOCK = "{test}: this computer's clock stands before the recorded time: set it right, or do the test anew."
POINT_EARLIER = "{test}: an earlier result was positive ({earlier}). It still counts as a warning."
POINT_CLOCK_CARD = "This computer's clock stands before the newest entry of this card: set it right first."
POINT_HEED = {
    "porous": "Porous hair takes products up faster: timing and product are chosen for it.",
    "over-porous": "Over-porous hair takes products up at once: a trained person decides what it bears.",
    "resistant": "Resistant hair takes products up slowly: timing and product are chosen for it.",
    "below": "The strands lack strength: a chemical treatment may not be advisable.",
    "mixed": "Some strands lack strength: a chemical treatment of those zones may not be advisable.",
    "too_close": "The stretch test is too close to call: pull more strands.",
    "unsettled": "The stretch test gave no verdict: pull more strands.",
    "poor-by-hand": "The hair breaks under slight strain: a chemical treatment may not be advisable.",
}
POINT_STOP = {
    "incompatibility": "Incompatibility test positive: no oxidation product on this hair.",
    "skin": "Skin test positive: do not proceed, and refer the client to a doctor.",
}
POINT_CHECK = "The strength check is not finished: {done} of {planned} strands are pulled."
HOLDS = {"days": "{count} days", "hours": "{count} hours"}

CARD_CAUTIONS = (
    "Peroxide and ammonia burn skin and eyes: wear gloves and eye protection, and keep the room aired.",
    "Take no step that a client's reaction forbids; with swelling of the face or trouble breathing call for help.",
)
CARD_DEFERENCE = (
    "The instructions of the product's manufacturer override this card, and so do local codes. "
    "A chemical service is for licensed practice. The times of the tests are common practice, and the clock is "
    "that of this computer."
)

# One test
TEST_QUESTIONS = {
    "porosity": "How does the hair feel, from the ends to the scalp?",
    "elasticity": "How is the stretch tested?",
    "incompatibility": "What does the cutting in the solution show?",
    "skin": "What does the skin show?",
}
TEST_ABOUT = {
    "porosity": "Run your fingers along a dry strand from its end to the scalp.",
    "elasticity": (
        "With the rig the answer is a number, from several strands. By hand: stretch one strand gently; good hair "
        "gives up to about a fifth of its length and comes back."
    ),
    "incompatibility": (
        "Put a cutting of the hair into 30 ml of 20-volume (6 %) hydrogen peroxide with 20 drops of ammonia "
        "solution and leave it for 30 minutes. Wear gloves and eye protection, keep the room aired, and use no "
        "metal dish. Watch for heat, bubbling, a change of colour, or hair that falls apart."
    ),
    "skin": (
        "Put a little of the product to be used behind the ear or in the crook of the arm, as its manufacturer "
        "says, and leave it for 24 to 48 hours. Redness, swelling, burning, blistering or itching is a positive "
        "result, whenever it comes: wash it off, do not proceed, and refer the client."
    ),
}
TEST_START = {
    "incompatibility": "Start the 30 minutes now",
    "skin": "Start the 24 hours now",
}
TEST_AGAIN = "Start anew, with a fresh one"
TEST_WITH_RIG = "With the rig"
TEST_WITH_RIG_ABOUT = "a guided check of a few strands"
TEST_WHO = "Done by"
TEST_WHO_HINT = "your code; Tab goes here, Enter back to the list"
TEST_PRODUCT = "Product"
TEST_PRODUCT_HINT = "the product that is to be used, for the skin test"
TEST_NOT_YET = "A negative result can be recorded from {readable} on ({left}); a positive one at any time."
TEST_UNTIL = "Read it by {until}."
TEST_TOO_LATE = "It was to be read by {until}: a negative result no longer counts, a positive one does. Start anew."
TEST_CLOCK = "This computer's clock stands before the start of this test: set it right, or start anew."
TEST_CONFIRM = "{what}: press Enter once more to confirm."
TEST_RECORDED = "{test} recorded: {outcome}."
TEST_STARTED = "{test} started; it can be read from {readable} on."
TEST_NOT_STARTED = "Start the test first, so that its time runs."
TOO_LONG = "{what} is too long: use at most {longest} characters."
TEST_RUNNING = "This test is running already; start it anew only with a fresh one."
TEST_UNTIMED = "This test has no timer: record its outcome."
TEST_NO_OUTCOME = "{outcome} is no outcome of this test: use {outcomes}."
TEST_BY_RIG = "This outcome comes from the rig's strands alone."
TEST_EARLIER = "Earlier: {earlier}"
LEFT_NONE = "now"
LEFT = "in {time}"

# The page
HEAD_TESTS = "Tests before a chemical service"
HEAD_OPEN = "Open points"
HEAD_CAUTIONS = "Cautions"
PAGE_TITLE = "Strength check and tests before a chemical service"
PAGE_TITLE_CARD = "Tests before a chemical service"
PAGE_SAVING = "Making the page …"
PAGE_SAVED = "The page was saved: {names} in {folder}."
PAGE_CLIENT = "Client code"
PAGE_HISTORY = "Hair history"
PAGE_OPENED = "Card opened"
PAGE_BY = "by"
PAGE_MADE = "Made {when} by strandbench {version}"
PAGE_STRAND_HEADS = ("strand", "from", "stretch at break", "what it says")
PAGE_AXIS = "stretch at break (% of length)"
PAGE_GUIDELINE = "guideline {guideline:g} %"
PAGE_MORE_STRANDS = "… and {count} more pulls, in the JSON file"
PAGE_WHERE = "Recordings: {names}"
PAGE_LIMITS = "This rig is not a medical or certified device."
PAGE_LEGEND = "round: broke there; open with an arrow: at least so far"

# The command
CARD_NONE = "There is no card for {reference}: `strandbench card list` shows those there are."
CARD_NO_CARDS = "There are no cards yet: `strandbench card new {example} --by {by}` opens one."
CARD_OPENED = "A card was opened for {reference}."
CARD_NOTHING_TO_EXPORT = "Say what to write: --pdf FILE, --html FILE, --json FILE, or several of them."
