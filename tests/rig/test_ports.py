"""Opening ports: what works, and one sentence for what does not."""

from __future__ import annotations

import os
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from rig.errors import LinkLost, LinkUnavailable
from rig.link import Link, open_link
from rig.serial_link import PortInfo, list_ports

posix = pytest.mark.skipif(os.name != "posix", reason="there are no pseudo-terminals here")
TRUTH = bytes(range(256)) * 40


@pytest.fixture
def listener() -> Iterator[socket.socket]:
    with socket.create_server(("127.0.0.1", 0)) as server:
        yield server


def read_all(link: Link, size: int) -> bytes:
    data = b""
    while len(data) < size:
        more = link.read(5.0)
        assert more, "nothing came"
        data += more
    return data


def read_to_the_end(link: Link) -> None:
    for _ in range(100):
        link.read(0.05)


def write_for_ever(link: Link) -> None:
    for _ in range(100):
        link.write(b"x" * 1000)


def number_of(server: socket.socket) -> int:
    return int(server.getsockname()[1])


@pytest.mark.parametrize("scheme", ["tcp", "TCP", "socket"])
def test_socket_there_and_back(listener: socket.socket, scheme: str) -> None:
    link = open_link(f"{scheme}://127.0.0.1:{number_of(listener)}")
    host, _ = listener.accept()
    with host:
        assert link.read(0.01) == b""
        assert link.read(0.0) == b""
        threading.Thread(target=host.sendall, args=(TRUTH,), daemon=True).start()
        assert read_all(link, len(TRUTH)) == TRUTH
        link.write(b"stop")
        assert host.recv(100) == b"stop"
        host.close()
        with pytest.raises(LinkLost, match="gone"):
            read_to_the_end(link)
    link.close()
    link.close()


@pytest.mark.parametrize("scheme", ["tcp", "socket"])
def test_socket_is_read_in_bulk(listener: socket.socket, scheme: str) -> None:
    """A socket behind the serial library says 1 byte is waiting, whatever is there."""
    link = open_link(f"{scheme}://127.0.0.1:{number_of(listener)}")
    host, _ = listener.accept()
    with host:
        host.sendall(TRUTH[:4000])
        first = link.read(5.0)
        reads = 1
        while len(first) < 4000:
            first += link.read(5.0)
            reads += 1
        assert reads < 10
    link.close()


@posix
def test_pseudo_terminal_there_and_back() -> None:
    """At 250000 baud, which is no standard speed and means nothing on a pseudo-terminal."""
    import tty

    ours, theirs = os.openpty()
    tty.setraw(theirs)
    link = open_link(os.ttyname(theirs), 250_000)
    os.close(theirs)
    os.write(ours, TRUTH[:1000])
    assert read_all(link, 1000) == TRUTH[:1000]
    link.write(b"stop")
    assert os.read(ours, 100) == b"stop"
    os.close(ours)
    with pytest.raises(LinkLost, match="cable"):
        read_to_the_end(link)
    link.close()


@posix
def test_line_that_nobody_reads_is_lost_and_does_not_block_for_ever() -> None:
    ours, theirs = os.openpty()
    link = open_link(os.ttyname(theirs))
    with pytest.raises(LinkLost):
        write_for_ever(link)
    link.close()
    os.close(ours)
    os.close(theirs)


def test_loop() -> None:
    link = open_link("loop://")
    link.write(b"back to me")
    assert read_all(link, 10) == b"back to me"
    link.close()
    with pytest.raises(LinkLost):
        link.read(0.01)
    with pytest.raises(LinkLost):
        link.write(b"x")


@posix
def test_busy_port() -> None:
    ours, theirs = os.openpty()
    name = os.ttyname(theirs)
    link = open_link(name)
    with pytest.raises(LinkUnavailable, match="in use by another program"):
        open_link(name)
    link.close()
    again = open_link(name)
    again.close()
    os.close(ours)
    os.close(theirs)


@posix
@pytest.mark.skipif(os.name == "posix" and os.geteuid() == 0, reason="the superuser may open everything")
def test_port_of_somebody_else(tmp_path: Path) -> None:
    path = tmp_path / "port"
    path.touch(mode=0o000)
    with pytest.raises(LinkUnavailable, match="not allowed"):
        open_link(str(path))


@pytest.mark.parametrize(
    ("address", "sentence"),
    [
        ("", "No port was named"),
        ("   ", "No port was named"),
        ("tcp://", "write it like"),
        ("tcp://127.0.0.1", "write it like"),
        ("tcp://127.0.0.1:port", "write it like"),
        ("tcp://127.0.0.1:99999", "write it like"),
        ("tcp://127.0.0.1:0", "write it like"),
        ("tcp://:5000", "write it like"),
        ("tcp://[::1", "write it like"),
        ("tcp://no such host.invalid:5000", "not known here"),
        ("tcp://" + "x" * 300 + ":5000", "not known here"),
        ("carrier-pigeon://roof", "not a port this program knows"),
        ("socket://127.0.0.1", "can't be opened|not a serial port"),
        ("socket://127.0.0.1:1?colour=red", "can't be opened"),
        ("/dev/there-is-no-such-port", "There is no port"),
    ],
)
@posix
def test_no_port(address: str, sentence: str) -> None:
    with pytest.raises(LinkUnavailable, match=sentence) as caught:
        open_link(address)
    told = str(caught.value)
    assert told.endswith(".")
    assert "\n" not in told


def test_nobody_listens() -> None:
    with socket.create_server(("127.0.0.1", 0)) as server:
        number = number_of(server)
    with pytest.raises(LinkUnavailable, match="Nothing listens"):
        open_link(f"tcp://127.0.0.1:{number}")


@posix
def test_not_a_serial_port(tmp_path: Path) -> None:
    path = tmp_path / "notes.txt"
    path.write_text("dear diary")
    for no_port in (path, tmp_path):
        with pytest.raises(LinkUnavailable, match="not a serial port|in use|There is no port|can't be opened"):
            open_link(str(no_port))
    assert path.read_text() == "dear diary"


@pytest.mark.parametrize("baud", [0, -9600, 299, 10**9])
def test_line_speed_out_of_range(baud: int) -> None:
    with pytest.raises(LinkUnavailable, match="line speed"):
        open_link("loop://", baud)


def test_list_of_ports_has_no_holes() -> None:
    for port in list_ports():
        assert isinstance(port, PortInfo)
        assert port.device
        assert port.description != "n/a"


def test_only_this_module_imports_the_serial_library() -> None:
    """A pull over TCP never loads it."""
    script = "import sys, rig.connect, rig.run, rig.tcp_link; print({'serial', 'numpy'} & set(sys.modules))"
    root = Path(__file__).parents[2]
    done = subprocess.run([sys.executable, "-c", script], cwd=root, capture_output=True, text=True, check=True)
    assert done.stdout == "set()\n"
