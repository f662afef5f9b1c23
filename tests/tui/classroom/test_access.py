"""The word to get in: who is let in, who must wait, and what nobody can do to it."""

from __future__ import annotations

import pytest

from tui.classroom.access import MOST_ADDRESSES, MOST_WRONG, MOST_WRONG_OF_ALL, WITHIN_S, Access
from tui.wording_page import WORDS


class Clock:
    def __init__(self) -> None:
        self.now = 1000.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def access(clock: Clock) -> Access:
    return Access(needed=True, now=clock)


def test_on_this_computer_nobody_is_asked() -> None:
    access = Access(needed=False)
    assert access.word == ""
    assert access.admits("")


def test_the_words_are_plain_and_all_different() -> None:
    assert len(set(WORDS)) == len(WORDS) >= 128
    assert all(word.isascii() and word.isalpha() and word.islower() and 4 <= len(word) <= 9 for word in WORDS)


def test_every_page_has_a_word_and_a_cookie_of_its_own() -> None:
    made = [Access(needed=True) for _ in range(20)]
    assert len({one.word for one in made}) == 20
    assert len({one.cookie for one in made}) == 20
    assert not made[0].admits(made[1].cookie)


def test_the_word_opens_however_it_is_spaced_and_cased(access: Access) -> None:
    for typed in (access.word, access.word.upper(), access.word.replace(" ", "-"), f"  {access.word}. "):
        assert access.lets_in("a", typed)


@pytest.mark.parametrize("typed", ["", " ", "x", "é" * 50, "\x00", "a" * 10_000_000, "amber amber"])
def test_anything_else_does_not(access: Access, typed: str) -> None:
    assert not access.lets_in("a", typed)


def test_the_cookie_admits_and_nothing_like_it(access: Access) -> None:
    name, _, rest = access.cookie.partition("=")
    token = rest.partition(";")[0]
    assert access.admits(f"{name}={token}")
    assert access.admits(f"other=1; {name}={token}; more=2")
    for cookies in (
        "",
        name,
        f"{name}=",
        f"{name}={token}x",
        f"{name}={token[:-1]}",
        f"other={token}",
        "é=ü",
        "=;=;" * 500,
    ):
        assert not access.admits(cookies)
    assert {"HttpOnly", "SameSite=Strict"} <= {part.strip() for part in access.cookie.split(";")}


def test_after_five_wrong_tries_even_a_right_one_waits(access: Access, clock: Clock) -> None:
    for _ in range(MOST_WRONG):
        assert access.wait_s("a") == 0
        access.lets_in("a", "wrong")
        clock.now += 1
    assert access.wait_s("a") == pytest.approx(WITHIN_S - MOST_WRONG)
    assert access.wait_s("b") == 0, "others need not wait for it"
    clock.now += WITHIN_S - MOST_WRONG
    assert access.wait_s("a") == 0


def test_many_addresses_together_are_held_up_too(access: Access, clock: Clock) -> None:
    for number in range(MOST_WRONG_OF_ALL):
        access.lets_in(f"address {number}", "wrong")
    assert access.wait_s("somebody else") == WITHIN_S
    clock.now += WITHIN_S
    assert access.wait_s("somebody else") == 0


def test_it_keeps_no_more_addresses_in_mind_than_it_has_room_for(access: Access) -> None:
    for number in range(MOST_ADDRESSES * 3):
        access.lets_in(f"address {number}", "wrong")
    assert len(access._wrong) == MOST_ADDRESSES
