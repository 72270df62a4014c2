"""The web server's own manners: what it waits for, and for how long. A plain WSGI application answers."""

from __future__ import annotations

import socket
import threading
import time
from contextlib import closing, suppress
from pathlib import Path

import pytest

from siteapp.cli import addresses, serving
from siteapp.cli import server as limits
from siteapp.config import Settings


def counting(environ, start_response):
    """Answer with the number of bytes that came."""
    count = len(environ["wsgi.input"].read())
    start_response("200 OK", [("Content-Type", "text/plain")])
    return [b"%d bytes" % count]


@pytest.fixture
def port(tmp_path, monkeypatch):
    monkeypatch.setattr(limits, "HEADERS_S", 1)
    monkeypatch.setattr(limits, "BODY_S", 1)
    monkeypatch.setattr(limits, "SLOWEST_BYTES_PER_S", 1e9)
    with serving.bound(Settings(data=tmp_path, port=0, max_photo_bytes=1000)) as server:
        server.wsgi_app = counting
        thread = threading.Thread(target=server.serve)
        thread.start()
        yield server.bind_addr[1]
    thread.join()


def answer(port: int, first: bytes, drop: bytes = b"", every_s: float = 0.1, drops: int = 40) -> tuple[bytes, float]:
    """Send `first`, then `drop` again and again; the answer, and after how many seconds the server was done with us."""
    began = time.monotonic()
    with closing(socket.create_connection(("127.0.0.1", port))) as client:
        client.settimeout(every_s)
        try:
            client.sendall(first)
            for _ in range(drops):
                client.sendall(drop)
                try:
                    text = client.recv(4096)
                except TimeoutError:
                    continue
                seconds = time.monotonic() - began
                with suppress(TimeoutError, ConnectionError):
                    while more := client.recv(4096):
                        text += more
                return text, seconds
        except ConnectionError:
            return b"", time.monotonic() - began
    return b"nothing", time.monotonic() - began


def test_a_body_that_comes_is_counted(port):
    text, _seconds = answer(port, b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 5\r\n\r\n12345")
    assert text.startswith(b"HTTP/1.1 200 OK")
    assert b"5 bytes" in text


def test_a_body_that_drips_in_is_cut_off_at_its_time(port):
    text, seconds = answer(port, b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: 900\r\n\r\n", drop=b"x")
    assert b"200 OK" not in text
    assert seconds < 3


def test_headers_that_drip_in_are_cut_off_at_their_time(port):
    text, seconds = answer(port, b"GET / HTTP/1.1\r\n", drop=b"A: b\r\n")
    assert b"200 OK" not in text
    assert seconds < 3


def test_a_body_far_beyond_a_photo_is_refused_before_it_is_read(port):
    huge = 1000 + limits.BODY_MARGIN_BYTES + 1
    text, _seconds = answer(port, b"POST / HTTP/1.1\r\nHost: x\r\nContent-Length: %d\r\n\r\n" % huge)
    assert text.startswith(b"HTTP/1.1 413")


def test_headers_beyond_their_limit_are_refused(port):
    text, _seconds = answer(port, b"GET / HTTP/1.1\r\nHost: x\r\nA: " + b"b" * (limits.HEADER_BYTES + 10) + b"\r\n\r\n")
    assert text.startswith(b"HTTP/1.1 413")


def test_slow_clients_leave_the_others_their_turn(port):
    slow = [socket.create_connection(("127.0.0.1", port)) for _ in range(limits.THREADS)]
    for client in slow:
        client.sendall(b"GET / HTTP/1.1\r\n")
    text, seconds = answer(port, b"GET / HTTP/1.1\r\nHost: x\r\n\r\n")
    for client in slow:
        client.close()
    assert text.startswith(b"HTTP/1.1 200 OK")
    assert seconds < 3


def test_every_address_that_is_shown_is_one_that_the_kernel_calls_its_own():
    # Source: the kernel's own routing table, proc(5).
    table = Path("/proc/net/fib_trie")
    if not table.exists():
        pytest.skip("no such table on this system")
    found = [one.address for one in addresses.own()]
    assert "127.0.0.1" in found
    assert [address for address in found if f"-- {address}\n" not in table.read_text()] == []
