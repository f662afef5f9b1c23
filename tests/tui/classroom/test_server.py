"""The class's page over real sockets: what is served, what is refused; many and slow browsers harm nobody."""

from __future__ import annotations

import contextlib
import html
import http.client
import json
import re
import socket
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urlencode, urlsplit

import pytest

from tests.tui.command_line import Cli, assert_one_sentence, spawn
from tui import wording_page as words
from tui.classroom import handler as handler_module
from tui.classroom.server import MOST_CONNECTIONS, ClassPage, is_this_computer
from tui.failure import CommandError

#: How long anything here may take before it counts as hanging [s].
PATIENCE_S = 20.0


@pytest.fixture
def page(tmp_path: Path) -> Iterator[ClassPage]:
    """The page for this computer alone."""
    made = ClassPage(tmp_path, port=0)
    yield made
    made.close()


@pytest.fixture
def guarded(tmp_path: Path) -> Iterator[ClassPage]:
    """The page with a word, on all addresses of this computer."""
    made = ClassPage(tmp_path, "0.0.0.0", 0)
    yield made
    made.close()


def port_of(page: ClassPage) -> int:
    return urlsplit(page.url).port or 0


def ask(page: ClassPage, path: str = "/", method: str = "GET", body: bytes | None = None, **headers: str) -> Any:
    """Status, headers and text of an answer; redirects are not followed."""
    connection = http.client.HTTPConnection("127.0.0.1", port_of(page), timeout=PATIENCE_S)
    try:
        connection.request(method, path, body, {name.replace("_", "-"): value for name, value in headers.items()})
        answer = connection.getresponse()
        return answer.status, answer.headers, answer.read().decode()
    finally:
        connection.close()


def enter(page: ClassPage, word: str) -> Any:
    body = urlencode({"word": word}).encode()
    return ask(page, "/enter", "POST", body, Content_Type="application/x-www-form-urlencoded")


class Stream:
    """Somebody who looks on."""

    def __init__(self, page: ClassPage, cookie: str = "") -> None:
        self.connection = http.client.HTTPConnection("127.0.0.1", port_of(page), timeout=PATIENCE_S)
        self.connection.request("GET", "/live", headers={"Cookie": cookie} if cookie else {})
        self.answer = self.connection.getresponse()

    def news(self) -> dict[str, Any]:
        """The next thing that is sent."""
        while True:
            line = self.answer.readline().decode()
            assert line, "the stream has ended"
            if line.startswith("data: "):
                found: dict[str, Any] = json.loads(line[6:])
                return found

    def close(self) -> None:
        self.answer.close()
        self.connection.close()


def until(what: Any, *, seconds: float = PATIENCE_S) -> None:
    deadline = time.monotonic() + seconds
    while not what():
        assert time.monotonic() < deadline
        time.sleep(0.01)


# -- what is served ---------------------------------------------------------------------------------------


def test_the_page_and_its_files_are_there_and_nothing_else_is(page: ClassPage) -> None:
    with urllib.request.urlopen(page.url, timeout=PATIENCE_S) as answer:
        text = answer.read().decode()
    assert f"<title>{words.TITLE}</title>" in text
    linked = set(re.findall(r'(?:href|src)="([^"]+)"', text))
    assert linked == {"/page.css", "/page.js", "/icon.svg"}
    for path in (*handler_module.FILES, "/words.json"):
        assert ask(page, path)[0] == 200, path
    for path in (
        "/server.py",
        "/../server.py",
        "/page.html",
        "/%2e%2e/app.py",
        "/etc/passwd",
        "/.",
        "/live/",
    ):
        status, _, said = ask(page, path)
        assert (status, said) == (404, words.NOT_FOUND + "\n"), path


def test_nothing_comes_from_anywhere_else(page: ClassPage) -> None:
    """No address of another host in any file, no script or style in the page itself, and a policy that says so."""
    for path in ("/", *handler_module.FILES, "/words.json"):
        _, headers, text = ask(page, path)
        addresses = [
            found for found in re.findall(r"https?://[^\s\"'<>)]+", text) if "www.w3.org/2000/svg" not in found
        ]
        assert addresses == [], path
        policy = headers["Content-Security-Policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert "frame-ancestors 'none'" in policy
        assert headers["X-Content-Type-Options"] == "nosniff"
        assert headers["Server"] == "strandbench"
    text = ask(page, "/")[2]
    assert "<style" not in text
    assert re.search(r"<script(?![^>]*\bsrc=)", text) is None
    assert re.search(r"\son\w+=", text) is None


def test_scripts_set_text_and_never_markup() -> None:
    for name in ("page.js", "plot.js", "player.js"):
        text = handler_module.file_text(name)
        for way in (
            "innerHTML",
            "outerHTML",
            "insertAdjacentHTML",
            "document.write",
            "eval(",
            "new Function",
            "DOMParser",
        ):
            assert way not in text, (name, way)


def test_whoever_looks_on_sees_what_happens(page: ClassPage) -> None:
    stream = Stream(page)
    assert stream.answer.headers["Content-Type"].startswith("text/event-stream")
    assert stream.news()["pull"]["phase"] == "waiting"
    page.broadcast.tell_rig("bench 1", "pulling", simulated=True)
    assert stream.news()["rig"] == {"name": "bench 1", "doing": "pulling", "simulated": True}
    page.broadcast.begin("a.pull.csv", "</script><b>bold</b>", "r", 20.0, simulated=True)
    page.broadcast.grow([0.0, 1.0], [0.0, 0.1])
    seen: list[float] = []
    while len(seen) < 2:
        news = stream.news()
        seen += news["pull"]["x"]
    assert news["pull"]["title"] == "</script><b>bold</b>", "as data; the page sets it as text"
    stream.close()


def test_there_is_no_way_to_move_anything(page: ClassPage) -> None:
    """Every method but looking is refused, whatever it is sent to."""
    for method in ("POST", "PUT", "DELETE", "PATCH", "OPTIONS", "CONNECT", "TRACE", "STOP", "propfind"):
        for path in ("/", "/live", "/enter", "/pull", "/stop"):
            status, _, said = ask(page, path, method, b"x=1")
            assert status in (405, 501), (method, path)
            assert said == words.ONLY_LOOK + "\n"


def test_head_is_get_without_content(page: ClassPage) -> None:
    for path in ("/", "/page.css", "/live", "/nothing"):
        status, _, said = ask(page, path, "HEAD")
        assert said == ""
        assert status == (404 if path == "/nothing" else 200)


# -- bad requests -----------------------------------------------------------------------------------------


def raw(page: ClassPage, data: bytes) -> bytes:
    """What comes back for these bytes, until the connection is closed."""
    with socket.create_connection(("127.0.0.1", port_of(page)), timeout=PATIENCE_S) as connection:
        with contextlib.suppress(OSError):
            connection.sendall(data)
            connection.shutdown(socket.SHUT_WR)
        found = b""
        with contextlib.suppress(OSError):
            while more := connection.recv(65536):
                found += more
        return found


BAD_REQUESTS = {
    "nothing": b"",
    "no http": b"hello\r\n\r\n",
    "zeros": bytes(4000),
    "random": bytes(range(256)) * 8,
    "escape codes": b"GET /\x1b[2J\x1b]0;x\x07 HTTP/1.1\r\nHost: localhost\r\n\r\n",
    "markup": b"GET /<script>alert(1)</script> HTTP/1.1\r\nHost: localhost\r\n\r\n",
    "long address": b"GET /" + b"a" * 100_000 + b" HTTP/1.1\r\n\r\n",
    "long header": b"GET / HTTP/1.1\r\nHost: localhost\r\nX: " + b"a" * 100_000 + b"\r\n\r\n",
    "many headers": b"GET / HTTP/1.1\r\n" + b"X: y\r\n" * 2000 + b"\r\n",
    "bad version": b"GET / HTTP/9.9.9\r\n\r\n",
    "half a request": b"GET / HT",
    "http/2 greeting": b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n",
    "tls greeting": b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" + bytes(500),
}


@pytest.mark.parametrize("data", BAD_REQUESTS.values(), ids=BAD_REQUESTS.keys())
def test_a_bad_request_is_refused_and_nothing_of_it_comes_back(
    page: ClassPage, data: bytes, capfd: pytest.CaptureFixture[str]
) -> None:
    found = raw(page, data)
    assert b"Traceback" not in found
    assert b"<script>alert" not in found
    assert b"\x1b" not in found
    assert b"aaaa" not in found
    assert ask(page)[0] == 200, "the page is still there"
    assert capfd.readouterr() == ("", ""), "nothing is printed over the lecturer's screen"


@pytest.mark.parametrize("length", ["", "-1", "x", "1e3", "²", "99999999999999999999", "2001"])
def test_a_form_of_a_strange_length_is_refused(guarded: ClassPage, length: str) -> None:
    head = f"POST /enter HTTP/1.1\r\nHost: x\r\nContent-Length: {length}\r\n\r\nword=x"
    found = raw(guarded, head.encode("utf-8"))
    assert b" 400 " in found.split(b"\r\n")[0] or b" 413 " in found.split(b"\r\n")[0]


@pytest.mark.parametrize(
    "host", ["evil.example", "evil.example:80", "127.0.0.1.evil.example", "", "[::1", "localhost.evil", "10.0.0.1"]
)
def test_another_site_s_name_is_not_answered_on_this_computer_alone(page: ClassPage, host: str) -> None:
    status, _, said = ask(page, "/", Host=host)
    assert (status, said) == (403, words.ONLY_HERE + "\n")


@pytest.mark.parametrize("host", ["localhost", "localhost:8350", "127.0.0.1:1", "[::1]:8350", "127.0.0.2"])
def test_this_computer_s_own_names_are(page: ClassPage, host: str) -> None:
    assert ask(page, "/", Host=host)[0] == 200


# -- the word ---------------------------------------------------------------------------------------------


def test_without_the_word_there_is_nothing_to_see(guarded: ClassPage) -> None:
    assert len(guarded.word.split()) == 3
    status, _, text = ask(guarded, "/")
    assert status == 200
    assert words.ENTER_QUESTION in text
    assert "page.js" not in text
    assert guarded.word not in text
    assert ask(guarded, "/live")[0] == 401
    assert ask(guarded, "/live", Cookie="strandbench=guess")[0] == 401


def test_the_word_opens_the_page_and_the_cookie_keeps_it_open(guarded: ClassPage) -> None:
    status, headers, _ = enter(guarded, guarded.word.upper())
    assert (status, headers["Location"]) == (303, "/")
    cookie = headers["Set-Cookie"].partition(";")[0]
    assert "page.js" in ask(guarded, "/", Cookie=cookie)[2]
    stream = Stream(guarded, cookie)
    assert stream.news()["pull"]["phase"] == "waiting"
    stream.close()


def test_a_wrong_word_is_said_and_after_five_one_waits(guarded: ClassPage) -> None:
    for _ in range(5):
        status, headers, text = enter(guarded, "<b>wrong</b>")
        assert status == 403
        assert words.ENTER_WRONG in html.unescape(text)
        assert "wrong</b>" not in text
        assert "Set-Cookie" not in headers
    status, headers, text = enter(guarded, guarded.word)
    assert status == 429
    assert int(headers["Retry-After"]) > 0
    assert "Set-Cookie" not in headers
    assert "Too many tries" in text


def test_a_form_without_a_word_is_a_wrong_one(guarded: ClassPage) -> None:
    assert ask(guarded, "/enter", "POST", b"&&&=&%zz=\xff")[0] == 403
    assert ask(guarded, "/enter", "POST", b"")[0] == 403


# -- many, slow and vanishing browsers --------------------------------------------------------------------


def test_many_browsers_each_get_the_whole_curve(page: ClassPage) -> None:
    streams = [Stream(page) for _ in range(40)]
    until(lambda: page.onlookers == 40)
    page.broadcast.begin("a.pull.csv", "strand", "r", 20.0, simulated=True)
    for step in range(50):
        page.broadcast.grow([float(step)], [0.01 * step])
    for stream in streams:
        seen: list[float] = []
        while len(seen) < 50:
            seen += stream.news()["pull"]["x"]
        assert seen == [float(step) for step in range(50)]
        stream.close()
    page.broadcast.tell_rig("a", "", simulated=False)


def test_a_browser_that_takes_nothing_in_holds_nobody_up(page: ClassPage, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(handler_module.PageHandler, "timeout", 1)
    sleeper = socket.socket()
    sleeper.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
    sleeper.connect(("127.0.0.1", port_of(page)))
    sleeper.sendall(b"GET /live HTTP/1.1\r\nHost: localhost\r\n\r\n")
    until(lambda: page.onlookers == 1)
    quick = Stream(page)
    page.broadcast.begin("a.pull.csv", "strand", "r", 20.0, simulated=True)
    big = {"title": "x" * 3_000_000}
    for step in range(8):
        page.broadcast.show_result(big)
        page.broadcast.grow([float(step)], [0.1 * step])
        began = time.monotonic()
        quick.news()
        assert time.monotonic() - began < PATIENCE_S
    until(lambda: page.onlookers == 1)
    quick.close()
    sleeper.close()


def test_a_browser_that_never_finishes_its_request_is_let_go(
    page: ClassPage, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(handler_module.PageHandler, "timeout", 0.3)
    slow = [socket.create_connection(("127.0.0.1", port_of(page)), timeout=PATIENCE_S) for _ in range(20)]
    for one in slow:
        one.sendall(b"GET / HTTP/1.1\r\nHo")
    assert ask(page)[0] == 200
    for one in slow:
        with contextlib.suppress(ConnectionError):
            assert one.recv(10) == b""
        one.close()


def test_more_connections_than_there_is_room_for_are_turned_away(page: ClassPage) -> None:
    held = []
    try:
        for _ in range(MOST_CONNECTIONS):
            held.append(socket.create_connection(("127.0.0.1", port_of(page)), timeout=PATIENCE_S))
        until(lambda: threading.active_count() > MOST_CONNECTIONS)
        assert raw(page, b"GET / HTTP/1.1\r\nHost: localhost\r\n\r\n") == b""
    finally:
        for one in held:
            one.close()
    until(lambda: ask_safely(page) == 200)


def ask_safely(page: ClassPage) -> int:
    try:
        return int(ask(page)[0])
    except (OSError, http.client.HTTPException):
        return 0


def test_whoever_goes_away_is_counted_no_more(page: ClassPage) -> None:
    streams = [Stream(page) for _ in range(5)]
    until(lambda: page.onlookers == 5)
    for stream in streams:
        stream.news()
        stream.close()

    def gone() -> bool:
        page.broadcast.tell_rig(str(time.monotonic()), "", simulated=False)
        return page.onlookers == 0

    until(gone)


# -- opening and closing ----------------------------------------------------------------------------------


def test_closing_tells_those_who_look_on_and_frees_the_port(tmp_path: Path) -> None:
    page = ClassPage(tmp_path, port=0)
    port = port_of(page)
    stream = Stream(page)
    stream.news()
    before = time.monotonic()
    page.close()
    assert time.monotonic() - before < PATIENCE_S
    rest = stream.answer.read().decode()
    assert "event: closed" in rest
    with pytest.raises(OSError, match=r".*"):
        socket.create_connection(("127.0.0.1", port), timeout=1.0).close()
    again = ClassPage(tmp_path, port=port)
    assert ask(again)[0] == 200
    again.close()


def test_a_port_that_is_taken_is_a_sentence(page: ClassPage, tmp_path: Path) -> None:
    with pytest.raises(CommandError, match="choose another with --port"):
        ClassPage(tmp_path, port=port_of(page))


@pytest.mark.parametrize("host", ["203.0.113.7", "no such host.invalid", "a" * 300, "\x1b[2J", ""])
def test_an_address_that_is_not_ours_is_a_sentence(tmp_path: Path, host: str) -> None:
    if host == "":
        return
    with pytest.raises(CommandError) as caught:
        ClassPage(tmp_path, host, 0)
    assert "\x1b" not in str(caught.value)


def test_only_loopback_is_this_computer() -> None:
    assert all(map(is_this_computer, ("127.0.0.1", "127.1.2.3", "::1", "localhost")))
    assert not any(
        map(is_this_computer, ("0.0.0.0", "::", "192.168.1.5", "example.org", "", "127.0.0.1.evil.example"))
    )


# -- the command ------------------------------------------------------------------------------------------


def test_the_command_says_where_and_serves_until_it_is_told_to_end(tmp_path: Path) -> None:
    from tests.tui.test_playback import VIRGIN

    with spawn("serve", "--port", "0", "--host", "0.0.0.0", "--folder", tmp_path, VIRGIN[0]) as process:
        assert process.stdout is not None
        where, word = process.stdout.readline(), process.stdout.readline()
        try:
            assert where.startswith(f"{words.SHARE_AT} http://")
            assert word.startswith(words.SHARE_WORD)
            port = urlsplit(where.split()[-1]).port
            with urllib.request.urlopen(f"http://127.0.0.1:{port}/", timeout=PATIENCE_S) as answer:
                assert words.ENTER_QUESTION in answer.read().decode()
        finally:
            process.terminate()
            _, err = process.communicate(timeout=PATIENCE_S)
    assert process.returncode == 0
    assert words.SHARE_PLAIN in err
    assert words.SHARE_CLOSED in err
    assert "Traceback" not in err


def test_recordings_that_are_none_are_a_sentence(cli: Cli, tmp_path: Path) -> None:
    assert_one_sentence(cli("serve", "--port", "0", tmp_path / "none.pull.csv"))
    assert_one_sentence(cli("serve", "--port", "70000"))
    assert_one_sentence(cli("serve", "--port", "0", "--host", "203.0.113.7", "--folder", tmp_path))
