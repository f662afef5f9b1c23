"""Answers a browser: the page, its style and scripts, the words, the way in, and the stream of what happens.

Everything is for looking on: the only thing taken in is a try at the word. Nothing of a request is ever sent back.
"""

from __future__ import annotations

import html
import ipaddress
import json
from functools import cache
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler
from importlib import resources
from string import Template
from typing import TYPE_CHECKING, cast
from urllib.parse import parse_qs, urlsplit

from tui import wording_page as wording
from tui.classroom.broadcast import Had

if TYPE_CHECKING:
    from tui.classroom.server import PageServer

#: The page's own files: nothing else is ever read from the disk for a browser.
FILES = {
    "/page.css": "text/css; charset=utf-8",
    "/page.js": "text/javascript; charset=utf-8",
    "/plot.js": "text/javascript; charset=utf-8",
    "/player.js": "text/javascript; charset=utf-8",
    "/icon.svg": "image/svg+xml",
}
HTML, JSON = "text/html; charset=utf-8", "application/json; charset=utf-8"

#: What every answer says: nothing from elsewhere, no framing, no guessing, nothing kept.
HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src 'self'; "
        "base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Cache-Control": "no-store",
}

#: Longest form that is read [bytes].
LONGEST_FORM = 2000
#: The stream sends at most this often, and at least this often a sign that it is alive [s].
STREAM_S, ALIVE_S = 0.1, 5.0


@cache
def file_text(name: str) -> str:
    """One of the page's own files."""
    return (resources.files("tui.classroom") / name).read_text(encoding="utf-8")


def page_text(name: str, **texts: str) -> str:
    """One of the page's own files with texts in it, made harmless."""
    return Template(file_text(name)).substitute({key: html.escape(text) for key, text in texts.items()})


class PageHandler(BaseHTTPRequestHandler):
    """One connection."""

    #: How long a browser may take over its request, or over taking in what it is sent [s].
    timeout = 10

    @property
    def page_server(self) -> PageServer:
        """The server, as what it is."""
        return cast("PageServer", self.server)

    def version_string(self) -> str:
        """What the answers say they come from: nothing about versions."""
        return "strandbench"

    def log_message(self, format: str, *args: object) -> None:
        """Nothing is logged: a terminal is no place for what others send."""

    def send_error(self, code: int, message: str | None = None, explain: str | None = None) -> None:
        """What went wrong, in our own sentence: nothing of the request stands in it."""
        sentences = {
            HTTPStatus.NOT_FOUND: wording.NOT_FOUND,
            HTTPStatus.METHOD_NOT_ALLOWED: wording.ONLY_LOOK,
            HTTPStatus.NOT_IMPLEMENTED: wording.ONLY_LOOK,
            HTTPStatus.REQUEST_ENTITY_TOO_LARGE: wording.TOO_LONG,
            HTTPStatus.REQUEST_URI_TOO_LONG: wording.TOO_LONG,
            HTTPStatus.REQUEST_HEADER_FIELDS_TOO_LARGE: wording.TOO_LONG,
            HTTPStatus.FORBIDDEN: wording.ONLY_HERE,
            HTTPStatus.UNAUTHORIZED: wording.WORD_FIRST,
        }
        self.close_connection = True
        text = sentences.get(HTTPStatus(code), wording.BAD_REQUEST)
        self._answer(HTTPStatus(code), text + "\n", "text/plain; charset=utf-8")

    def _answer(self, status: HTTPStatus, text: str, kind: str, **more: str) -> None:
        data = text.encode()
        self.send_response(status)
        for name, value in {**HEADERS, **more, "Content-Type": kind, "Content-Length": str(len(data))}.items():
            self.send_header(name.replace("_", "-"), value)
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(data)

    # -- looking on ---------------------------------------------------------------------------------------

    def do_HEAD(self) -> None:
        """As GET, without the content."""
        self.do_GET()

    def do_GET(self) -> None:
        """Answer."""
        path = self.path.partition("?")[0]
        if not self._meant_for_us():
            self.send_error(HTTPStatus.FORBIDDEN)
        elif path in FILES:
            self._answer(HTTPStatus.OK, file_text(path[1:]), FILES[path])
        elif path == "/":
            self._page()
        elif path == "/words.json":
            self._answer(HTTPStatus.OK, json.dumps(wording.PAGE), JSON)
        elif path != "/live":
            self.send_error(HTTPStatus.NOT_FOUND)
        elif not self._admitted:
            self.send_error(HTTPStatus.UNAUTHORIZED)
        else:
            self._stream()

    def _meant_for_us(self) -> bool:
        """Where no word is asked for, only requests for this computer by its own names are answered.

        Another site's page whose name was made to point here would have its own name in them (DNS rebinding).
        """
        if self.page_server.access.needed:
            return True
        try:
            host = urlsplit("//" + self.headers.get("Host", "")).hostname or ""
            return host == "localhost" or ipaddress.ip_address(host).is_loopback
        except ValueError:
            return False

    @property
    def _admitted(self) -> bool:
        return self.page_server.access.admits(self.headers.get("Cookie", ""))

    def _page(self) -> None:
        if self._admitted:
            self._answer(
                HTTPStatus.OK, page_text("page.html", title=wording.TITLE, noscript=wording.NOSCRIPT), HTML
            )
        else:
            self._ask(HTTPStatus.OK, "")

    def _ask(self, status: HTTPStatus, problem: str, **more: str) -> None:
        """Ask for the word."""
        text = page_text(
            "enter.html",
            title=wording.ENTER_TITLE,
            question=wording.ENTER_QUESTION,
            about=wording.ENTER_ABOUT,
            label=wording.ENTER_LABEL,
            go=wording.ENTER_GO,
            problem=problem,
        )
        self._answer(status, text, HTML, **more)

    def _stream(self) -> None:
        """Send what happens, as long as somebody looks on (server-sent events of the HTML standard)."""
        self.send_response(HTTPStatus.OK)
        for name, value in {**HEADERS, "Content-Type": "text/event-stream; charset=utf-8"}.items():
            self.send_header(name, value)
        self.end_headers()
        if self.command == "HEAD":
            return
        server = self.page_server
        server.count(1)
        try:
            self._send_news(server)
        finally:
            server.count(-1)

    def _send_news(self, server: PageServer) -> None:
        broadcast, had = server.broadcast, Had()
        while not broadcast.closed:
            if broadcast.wait(had, ALIVE_S):
                self.wfile.write(f"data: {json.dumps(broadcast.news(had), allow_nan=False)}\n\n".encode())
            else:
                self.wfile.write(b": alive\n\n")
            broadcast.pause(STREAM_S)
        self.wfile.write(b"event: closed\ndata: {}\n\n")

    # -- the way in ---------------------------------------------------------------------------------------

    def do_POST(self) -> None:
        """Take a try at the word."""
        access, address = self.page_server.access, str(self.client_address[0])
        length = self.headers.get("Content-Length", "")
        if self.path != "/enter" or not access.needed:
            self.send_error(HTTPStatus.METHOD_NOT_ALLOWED)
        elif not (length.isascii() and length.isdecimal()):
            self.send_error(HTTPStatus.BAD_REQUEST)
        elif len(length) > 6 or int(length) > LONGEST_FORM:
            self.send_error(HTTPStatus.REQUEST_ENTITY_TOO_LARGE)
        elif wait_s := access.wait_s(address):
            seconds = str(int(wait_s) + 1)
            sentence = wording.ENTER_WAIT.format(seconds=seconds)
            self._ask(HTTPStatus.TOO_MANY_REQUESTS, sentence, Retry_After=seconds)
        elif access.lets_in(address, self._typed(int(length))):
            self._answer(HTTPStatus.SEE_OTHER, "", HTML, Location="/", Set_Cookie=access.cookie)
        else:
            self._ask(HTTPStatus.FORBIDDEN, wording.ENTER_WRONG)

    def _typed(self, length: int) -> str:
        text = self.rfile.read(length).decode("ascii", errors="replace")
        return parse_qs(text).get("word", [""])[0]
