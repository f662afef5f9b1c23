"""Codes for people, and how what is typed instead of one is told: a name, an address, a telephone number.

A look, not a proof: a single word may be somebody's name and passes. Whoever types is told to use a code.
"""

from __future__ import annotations

import re
import unicodedata

from tui import wording_check as wording

#: Longest code taken [characters].
LONGEST = 40

#: Digits from which on a number is more likely a telephone's than a client's.
PHONE_DIGITS = 9

#: What stands between the words of a name.
_BETWEEN = re.compile(r"[\s.,;_+]+")


def key_of(code: str) -> str:
    """What two spellings of one code have in common: capitals and spaces do not tell clients apart."""
    return " ".join(unicodedata.normalize("NFKC", code).casefold().split())


def reference_problem(text: str) -> str:
    """What is wrong with a client's code, "" where nothing is."""
    return code_problem(text, wording.EXAMPLE_REFERENCE)


def person_problem(text: str) -> str:
    """What is wrong with the code of who does the test, "" where nothing is."""
    return code_problem(text, wording.EXAMPLE_BY)


def code_problem(text: str, example: str) -> str:
    """What is wrong with a code; `example` is one that would do."""
    if not text.strip():
        return wording.CODE_EMPTY.format(example=example)
    if len(text) > LONGEST:
        return wording.CODE_LONG.format(longest=LONGEST)
    if any(unicodedata.category(sign)[0] == "C" for sign in text):
        return wording.CODE_UNSEEN
    for looks_like, sentence in _LOOKS:
        if looks_like(text):
            return sentence.format(example=example)
    return ""


def looks_like_name(text: str) -> bool:
    """Whether this is two or more words of letters alone, at least one of them as long as a name."""
    words = [word for word in _BETWEEN.split(text.strip()) if word]
    bare = [re.sub(r"['’\-]", "", word) for word in words]
    return len(bare) > 1 and all(_is_letters(word) for word in bare) and max(map(len, bare)) >= 3


def _is_letters(word: str) -> bool:
    """Letters and the marks on them, which many scripts write as signs of their own."""
    return bool(word) and all(unicodedata.category(sign)[0] in "LM" for sign in word)


def _looks_like_mail(text: str) -> bool:
    return "@" in text


def _looks_like_phone(text: str) -> bool:
    digits = sum(sign.isdigit() for sign in text)
    return digits >= PHONE_DIGITS and not any(sign.isalpha() for sign in text)


_LOOKS = (
    (looks_like_name, wording.CODE_NAME),
    (_looks_like_mail, wording.CODE_MAIL),
    (_looks_like_phone, wording.CODE_PHONE),
)
