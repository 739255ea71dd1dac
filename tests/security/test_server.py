"""The server itself, over a real socket: what no browser sends is refused, and it lives on.

What a request may look like is said in RFC 9112 (HTTP/1.1).
"""

import os
import socket
import subprocess
import sys
from collections.abc import Iterator

import pytest

from app.cli import serving
from app.settings import MAX_REQUEST_BYTES

GET = b"GET /healthz HTTP/1.1\r\nHost: localhost\r\n"


@pytest.fixture(scope="module")
def port(tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    """The port of a server that was started as people start it, with a record of its own."""
    folder = tmp_path_factory.mktemp("served")
    with subprocess.Popen(
        [sys.executable, "-m", "app", "serve", "--no-browser", "--port", "0"],
        env={**os.environ, "SILLPOND_DATA": str(folder), "PYTHONUNBUFFERED": "1"},
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    ) as process:
        assert process.stdout is not None
        served = next(line for line in process.stdout if "is served at" in line)
        yield int(served.rstrip().rstrip("/").rpartition(":")[2])
        process.kill()


def said(port: int, request: bytes) -> bytes:
    """What the server answers to these bytes before it closes or falls silent."""
    answer = b""
    with socket.create_connection(("127.0.0.1", port), timeout=10) as line:
        try:
            line.sendall(request)
            line.shutdown(socket.SHUT_WR)
            while part := line.recv(65_536):
                answer += part
        except OSError:  # it closed before all was sent
            pass
    return answer


def status(answer: bytes) -> int:
    """The status of the first answer; 0 where the line was closed without one."""
    return int(answer.split(b" ", 2)[1]) if answer.startswith(b"HTTP/1.") else 0


def post(length: str, body: bytes = b"", more: bytes = b"") -> bytes:
    return (
        b"POST /tank/1/feed HTTP/1.1\r\nHost: localhost\r\nContent-Type: "
        b"application/x-www-form-urlencoded\r\n" + more
        + (b"Content-Length: " + length.encode() + b"\r\n" if length else b"") + b"\r\n" + body
    )  # fmt: skip


def test_it_answers(port: int) -> None:
    assert status(said(port, GET + b"Connection: close\r\n\r\n")) == 200


REFUSED = {
    "a header of 40 KB": GET + b"X-Long: " + b"x" * 40_000 + b"\r\n\r\n",
    "headers of 40 KB in all": GET + b"".join(b"X-%d: x\r\n" % n for n in range(5_000)) + b"\r\n",
    "an address of 40 KB": b"GET /" + b"x" * 40_000 + b" HTTP/1.1\r\nHost: localhost\r\n\r\n",
    "a body too large": post(str(MAX_REQUEST_BYTES + 1)),
    "a body of a terabyte": post("1" + "0" * 12),
    "a length below nothing": post("-1"),
    "a length that is no number": post("1e3"),
    "a length of many digits": post("9" * 400),
    "two lengths": post("5", b"a=1&b", b"Content-Length: 0\r\n"),
    "a length and pieces": post("5", b"0\r\n\r\n", b"Transfer-Encoding: chunked\r\n"),
    "an unknown coding": post("", b"", b"Transfer-Encoding: planted\r\n"),
    "broken pieces": post("", b"zz\r\n", b"Transfer-Encoding: chunked\r\n"),
    "a header without a name": GET + b": x\r\n\r\n",
    "a header with a space in its name": GET + b"X y: x\r\n\r\n",
    "a bare line end": GET + b"X: a\nY: b\r\n\r\n",
    "no host": b"GET /healthz HTTP/1.1\r\n\r\n",
    "another host": b"GET /tank/1/ HTTP/1.1\r\nHost: elsewhere.example\r\n\r\n",
    "two hosts": b"GET / HTTP/1.1\r\nHost: localhost\r\nHost: elsewhere.example\r\n\r\n",
    "a foreign address": b"GET http://elsewhere.example/ HTTP/1.1\r\nHost: x.example\r\n\r\n",
    "no request at all": b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03" + bytes(200),
    "an unknown method": b"PLANTED /tank/1/ HTTP/1.1\r\nHost: localhost\r\n\r\n",
    "a way through": b"CONNECT elsewhere.example:443 HTTP/1.1\r\nHost: localhost\r\n\r\n",
    "a trace": b"TRACE / HTTP/1.1\r\nHost: localhost\r\nCookie: sillpond=x\r\n\r\n",
    "NUL": b"GET /\x00 HTTP/1.1\r\nHost: localhost\r\n\r\n",
    "half a request": GET[:20],
}


@pytest.mark.parametrize("what", REFUSED)
def test_what_no_browser_sends_is_refused(port: int, what: str) -> None:
    answer = said(port, REFUSED[what])
    assert status(answer) in {0, 400, 404, 405, 411, 413, 414, 431, 500, 501, 505}
    if status(answer) in {500, 501, 505}:  # of the server, not of a page that broke
        assert b"Something went wrong in this program" not in answer
    for word in (b"Traceback", b"waitress", b"Server:", b"elsewhere.example"):
        assert word not in answer.split(b"\r\n\r\n")[0] + answer[:300]
    assert status(said(port, GET + b"Connection: close\r\n\r\n")) == 200, "it lives on"


HIDDEN = b"GET /healthz HTTP/1.1\r\nHost: localhost\r\n\r\n"
CHUNKED = b"Transfer-Encoding: chunked\r\n"


@pytest.mark.parametrize(
    "request_",
    [
        post(str(len(HIDDEN)), HIDDEN),
        # RFC 9112, 6.3: whoever has a length and pieces may mean to smuggle a second request
        post("4", b"0\r\n\r\n" + HIDDEN, CHUNKED),
        post(str(5 + len(HIDDEN)), b"0\r\n\r\n" + HIDDEN, CHUNKED),
        post("0", HIDDEN, CHUNKED),
        post("4", b"0\r\n\r\n" + HIDDEN, b"Transfer-Encoding: identity, chunked\r\n"),
        post("4", b"0\r\n\r\n" + HIDDEN, b"Transfer-Encoding:\tchunked\r\n"),
        post("4", b"0\r\n\r\n" + HIDDEN, CHUNKED * 2),
    ],
)
def test_a_request_in_the_body_of_another_is_text(port: int, request_: bytes) -> None:
    answer = said(port, request_)
    assert answer.count(b"HTTP/1.1 ") <= 1
    assert b"\r\n\r\nok\n" not in answer


def test_slow_senders_keep_nobody_out(port: int) -> None:
    """More lines than the server has threads, none of which ends its request."""
    lines = []
    for _ in range(serving.THREADS * 3):
        line = socket.create_connection(("127.0.0.1", port), timeout=10)
        line.sendall(post("1000", b"a=1"))
        lines.append(line)
    assert status(said(port, GET + b"Connection: close\r\n\r\n")) == 200
    for line in lines:
        line.close()
