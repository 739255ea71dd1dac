"""Serving the application with waitress until somebody ends it."""

import errno
import ipaddress
import os
import re
import signal
import socket
import sys
import threading
import webbrowser
from types import FrameType
from typing import Any

import click
import waitress
from flask import Flask
from waitress.channel import HTTPChannel
from waitress.parser import HTTPRequestParser, ParsingError

from app.charts.style import warm_up
from app.cli import logs
from app.settings import MAX_REQUEST_BYTES

MAX_HEADER_BYTES = 32 * 1024
THREADS = 6
DEFAULT_PORT = 8760
_ENDS = re.compile(rb"^(?:content-length|transfer-encoding)[ \t]*:", re.IGNORECASE | re.MULTILINE)


def is_loopback(host: str) -> bool:
    """Whether only this computer itself can reach an address."""
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def names_of_this_computer(host: str) -> tuple[str, ...]:
    """The names and addresses under which other devices may ask for a server bound to `host`."""
    names = {"localhost", "127.0.0.1", "[::1]"}
    if not is_loopback(host):
        here = socket.gethostname()
        names |= {here, f"{here}.local", *_addresses(host)}
    return tuple(sorted(name.lower() for name in names))


def _addresses(host: str) -> set[str]:
    if host not in {"0.0.0.0", "::", ""}:  # noqa: S104
        return {f"[{host}]" if ":" in host else host}
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as probe:
        try:
            # sends nothing: it only asks which way a packet to elsewhere would go
            probe.connect(("192.0.2.1", 9))
            return {probe.getsockname()[0]}
        except OSError:
            return set()


def url_of(host: str, door: socket.socket) -> str:
    """The address that a browser on this computer opens."""
    port = door.getsockname()[1]
    if host in {"0.0.0.0", "::", ""}:  # noqa: S104
        host = "127.0.0.1"
    return f"http://{f'[{host}]' if ':' in host else host}:{port}/"


def serve(
    app: Flask,
    door: socket.socket,
    *,
    page: str,
    open_browser: bool,
    behind_tls: bool = False,
) -> None:
    """Serve until Ctrl-C or SIGTERM.

    Args:
        app: The application.
        door: The socket that listens, from `open_door`.
        page: The page to begin with.
        open_browser: Whether to open that page in a browser.
        behind_tls: Whether a proxy that ends TLS stands in front, whose headers are believed.
    """
    logs.set_up()
    server = server_of(app, door, behind_tls=behind_tls)
    threading.Thread(target=warm_up, daemon=True).start()
    if open_browser:
        threading.Thread(target=webbrowser.open, args=(page,), daemon=True).start()
    signal.signal(signal.SIGTERM, _stop)
    try:
        server.run()
    finally:
        server.close()


class _Parser(HTTPRequestParser):  # type: ignore[misc]  # the library has no types here
    """Reads requests, and none that says twice where it ends.

    RFC 9112, 6.3: a body with a length and in pieces may hide a second request from a proxy.
    waitress takes the pieces and reads on, which only ends well without a proxy in front.
    """

    def parse_header(self, header_plus: bytes) -> None:
        if len(_ENDS.findall(header_plus)) > 1:
            raise ParsingError("It says twice where it ends")
        super().parse_header(header_plus)


class _Channel(HTTPChannel):  # type: ignore[misc]
    parser_class = _Parser


def server_of(app: Flask, door: socket.socket, *, behind_tls: bool = False) -> Any:
    """The server of an application with its limits; the caller runs and closes it."""
    server = waitress.create_server(
        app,
        sockets=[door],
        threads=THREADS,
        ident="",
        max_request_body_size=MAX_REQUEST_BYTES,
        max_request_header_size=MAX_HEADER_BYTES,
        clear_untrusted_proxy_headers=not behind_tls,
    )
    server.channel_class = _Channel
    return server


def open_door(host: str, port: int) -> socket.socket:
    """A socket that listens on an address; port 0 takes a free one.

    Opened before anything slow is done, so that a taken port is told at once.

    Raises:
        click.ClickException: If the port is taken or the address is not one of this computer.
    """
    try:
        family, kind, _, _, address = socket.getaddrinfo(
            host, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE
        )[0]
    except OSError:
        raise click.ClickException(f"{host} is not an address of this computer.") from None
    door = socket.socket(family, kind)
    try:
        if os.name == "posix":
            # a port that an ended server left a minute ago may be taken at once
            door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        door.bind(address)
        door.listen()
    except OSError as error:
        door.close()
        raise click.ClickException(_no_door(error, host, port)) from None
    return door


def _stop(_number: int, _frame: FrameType | None) -> None:
    sys.exit(0)


def _no_door(error: OSError, host: str, port: int) -> str:
    if error.errno == errno.EADDRINUSE:
        return f"Port {port} is taken by another program. Choose another one: --port {port + 1}"
    if error.errno == errno.EACCES:
        return f"This computer does not let you use port {port}. Choose one above 1023."
    return f"{host} is not an address of this computer."
