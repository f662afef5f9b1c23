"""Who may look on: nobody asks on this machine alone; from elsewhere it takes the word that stands on the screen.

The word keeps passers-by out, not eavesdroppers: the page goes over the network as it is. Nothing here knows HTTP
but the cookie that remembers who was let in.
"""

from __future__ import annotations

import hmac
import re
import secrets
import threading
import time
from collections import deque
from collections.abc import Callable
from http.cookies import CookieError, SimpleCookie

from tui.wording_page import WORDS

#: Words in the word to get in: three of 150 are 3.4 million ways, at `MOST_WRONG_OF_ALL` a minute.
HOW_MANY_WORDS = 3
#: Longest thing that is looked at as a try [characters].
LONGEST_TRY = 200
#: Wrong tries from one address, and from all, within `WITHIN_S` seconds; after that even a right one waits.
MOST_WRONG, MOST_WRONG_OF_ALL, WITHIN_S = 5, 60, 60.0
#: Addresses kept in mind.
MOST_ADDRESSES = 500

COOKIE = "strandbench"

_NOT_LETTERS = re.compile(r"[^a-z]+")


class Access:
    """The word, the cookie, and how often somebody was wrong."""

    def __init__(self, *, needed: bool, now: Callable[[], float] = time.monotonic) -> None:
        self.needed = needed
        self.word = " ".join(secrets.choice(WORDS) for _ in range(HOW_MANY_WORDS)) if needed else ""
        self._token = secrets.token_urlsafe(24)
        self._now = now
        self._lock = threading.Lock()
        self._wrong: dict[str, deque[float]] = {}
        self._wrong_of_all: deque[float] = deque(maxlen=MOST_WRONG_OF_ALL)

    @property
    def cookie(self) -> str:
        """The cookie of somebody who was let in; scripts cannot read it, and no other site's page sends it."""
        return f"{COOKIE}={self._token}; Path=/; HttpOnly; SameSite=Strict"

    def admits(self, cookies: str) -> bool:
        """Whether whoever sends these cookies was let in, or need not be."""
        if not self.needed:
            return True
        try:
            found = SimpleCookie(cookies).get(COOKIE)
        except CookieError:
            return False
        return found is not None and hmac.compare_digest(found.value.encode(), self._token.encode())

    def wait_s(self, address: str) -> float:
        """How long this address must wait before its next try [s]; 0 where it need not."""
        with self._lock:
            now = self._now()
            mine = self._wrong.get(address)
            waits = [wrong[0] + WITHIN_S - now for wrong in (mine, self._wrong_of_all) if wrong and _is_full(wrong)]
            return max([0.0, *waits])

    def lets_in(self, address: str, typed: str) -> bool:
        """Whether the word is right; a wrong one is remembered. Ask `wait_s` first."""
        right = hmac.compare_digest(_letters(typed).encode(), _letters(self.word).encode())
        if not right:
            with self._lock:
                self._remember(address)
        return right

    def _remember(self, address: str) -> None:
        if address not in self._wrong:
            while len(self._wrong) >= MOST_ADDRESSES:
                del self._wrong[next(iter(self._wrong))]
            self._wrong[address] = deque(maxlen=MOST_WRONG)
        self._wrong[address].append(self._now())
        self._wrong_of_all.append(self._now())


def _is_full(wrong: deque[float]) -> bool:
    return len(wrong) == wrong.maxlen


def _letters(text: str) -> str:
    """What counts of a typed word: its letters, whatever stands between them."""
    return _NOT_LETTERS.sub("", text[:LONGEST_TRY].casefold())
