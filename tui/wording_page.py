"""What the class's page in the browser says, and the words that its word to get in is made of."""

from __future__ import annotations

from typing import Final

from tui import wording, wording_lesson

TITLE = "strandbench: the strand on the bench"
NOSCRIPT = "This page draws the curve with a script of its own: allow scripts for it."

#: What the page's own script says, by name; all of it is set as text, never as markup.
PAGE: Final = {
    "title": TITLE,
    "now": "Now",
    "recordings": "Recordings",
    "no_rig": wording.NO_RIG,
    "simulated": wording.SIMULATED,
    "simulated_about": "an invented strand: nothing moves",
    "waiting": "Waiting for the next pull.",
    "connected": "connected",
    "lost": "The connection is lost; trying again …",
    "closed": "The lesson's page is closed. Ask for the word and load the page again.",
    "looks": "Looks",
    "looks_names": ["as the system", "dark", "light", "high contrast"],
    "stretch": wording.PULL_STRETCH,
    "force": wording.PULL_FORCE,
    "axis_x": f"{wording.AXIS_STRETCH} (%)",
    "axis_y": f"{wording.AXIS_FORCE} (N)",
    "guideline": "guideline {percent} %",
    "broke_at": "broke at {percent} %",
    "end_at": "{word} at {percent} %",
    "result": "The last result",
    "play": "Play",
    "pause": "Pause",
    "start": wording_lesson.PLAY_START,
    "to_break": wording_lesson.PLAY_BREAK,
    "back": "Step back",
    "on": "Step on",
    "speed": wording_lesson.PLAY_SPEED,
    "place": "Place on the curve",
    "nothing": "No recording was chosen for this page yet.",
    "described": "Force over stretch, up to {stretch} % and {force} N.",
    "regions": dict(wording_lesson.REGION_WORDS),
    "fibre": dict(wording_lesson.FIBRE),
}

# Getting in
ENTER_TITLE = "strandbench: the word, please"
ENTER_QUESTION = "What is the word?"
ENTER_ABOUT = "It stands on the lecturer's screen: three words."
ENTER_LABEL = "The word"
ENTER_GO = "Look on"
ENTER_WRONG = "That is not the word. Look at the lecturer's screen again."
ENTER_WAIT = "Too many tries: wait {seconds} seconds, then try again."

# What goes wrong
NOT_FOUND = "There is no such page here."
ONLY_LOOK = "This page is for looking on: nothing can be sent to it."
BAD_REQUEST = "This request makes no sense."
TOO_LONG = "This request is too long."
ONLY_HERE = "This page is shown on this computer only."
WORD_FIRST = "The word is asked for first."
TOO_MANY = "Too many are looking on already; try again later."

# On the command line and in the app
SHARE_QUESTION = "Who may look on in a browser?"
SHARE_HERE = "This computer only"
SHARE_HERE_ABOUT = "open the page here, for a second screen"
SHARE_NETWORK = "The class's machines"
SHARE_NETWORK_ABOUT = "everyone on this network who knows the word; nobody can move anything"
SHARE_STOP = "Nobody any more"
SHARE_STOP_ABOUT = "close the page"
SHARE_AT = "Open in a browser:"
SHARE_WORD = "The word:"
SHARE_COUNT = "{count} looking on"
SHARE_PLAIN = "The page goes over the network unencrypted: the word keeps passers-by out, not eavesdroppers."
SHARE_CLOSED = "The page is closed."
SERVE_NOTE = "Pulls recorded in {folder} are shown as they happen. Ctrl-C closes the page."
PORT_TAKEN = "Port {port} cannot be used ({why}): choose another with --port, or 0 for any free one."
BAD_HOST = "{host} is no address of this computer: leave --host out for this computer alone, or say 0.0.0.0."

#: Plain words, easy to say across a room and to tell apart; the word to get in is three of them.
_WORDS = """
acorn amber anchor apple apron arrow autumn badge baker balloon bamboo banjo barley basket beacon beetle
berry blanket bonnet bottle branch bramble breeze bridge bronze brush bucket button cabin candle canvas carpet
carrot castle cedar chalk cherry circle clover cobalt coffee comet copper coral cotton cousin cradle crayon
cricket crystal cushion daisy denim diamond dolphin donkey dragon drummer eagle ember engine falcon feather
fiddle finger flannel forest fossil fountain garden garlic ginger glacier goblet granite guitar hammer harbour
hazel hedge helmet honey island ivory jacket jasmine jigsaw jungle kettle kitten ladder lantern lemon lentil
lilac linen lizard magnet mango maple marble meadow melon mirror mitten morning mosaic mustard needle nutmeg
ocean olive orchard otter oyster paddle pebble pencil pepper pigeon pillow pocket puzzle quarry rabbit raven
ribbon river saddle saffron sailor salmon shadow silver spiral sparrow summer thimble thunder timber tulip
tunnel velvet violet walnut whistle willow window winter zebra
"""
WORDS: Final = tuple(_WORDS.split())
