"""Serving the application with waitress until somebody ends it."""

import errno
import ipaddress
import logging
import signal
import socket
import sys
import threading
import webbrowser
from collections.abc import Callable
from types import FrameType

import click
import waitress
from flask import Flask

from app.charts.style import warm_up
from app.settings import MAX_REQUEST_BYTES

MAX_HEADER_BYTES = 32 * 1024
THREADS = 6
DEFAULT_PORT = 8760


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


def url_of(host: str, port: int) -> str:
    """The address that a browser on this computer opens."""
    if host in {"0.0.0.0", "::", ""}:  # noqa: S104
        host = "127.0.0.1"
    return f"http://{f'[{host}]' if ':' in host else host}:{port}/"


def serve(
    app: Flask,
    *,
    host: str,
    port: int,
    on_start: Callable[[str], str],
    open_browser: bool,
    behind_tls: bool = False,
) -> None:
    """Serve until Ctrl-C or SIGTERM.

    Args:
        app: The application.
        host: The address to listen on.
        port: The port; 0 takes a free one.
        on_start: Called with the address once the port is ours; returns the page to open.
        open_browser: Whether to open that page in a browser.
        behind_tls: Whether a proxy that ends TLS stands in front, whose headers are believed.

    Raises:
        click.ClickException: If the port is taken or the address is not one of this computer.
    """
    logging.getLogger("waitress.queue").setLevel(logging.ERROR)
    try:
        server = waitress.create_server(
            app,
            host=host,
            port=port,
            threads=THREADS,
            ident="",
            max_request_body_size=MAX_REQUEST_BYTES,
            max_request_header_size=MAX_HEADER_BYTES,
            clear_untrusted_proxy_headers=not behind_tls,
        )
    except (OSError, ValueError) as error:
        raise click.ClickException(_no_socket(error, host, port)) from None
    page = on_start(url_of(host, _port_of(server)))
    threading.Thread(target=warm_up, daemon=True).start()
    if open_browser:
        threading.Thread(target=webbrowser.open, args=(page,), daemon=True).start()
    signal.signal(signal.SIGTERM, _stop)
    try:
        server.run()
    finally:
        server.close()


def _port_of(server: object) -> int:
    # one socket, or several where a name stands for several addresses
    found = getattr(server, "effective_port", None)
    if found is None:
        found = getattr(server, "effective_listen")[0][1]  # noqa: B009
    return int(found)


def _stop(_number: int, _frame: FrameType | None) -> None:
    sys.exit(0)


def _no_socket(error: Exception, host: str, port: int) -> str:
    code = getattr(error, "errno", None)
    if code == errno.EADDRINUSE:
        return f"Port {port} is taken by another program. Choose another one: --port {port + 1}"
    if code == errno.EACCES:
        return f"This computer does not let you use port {port}. Choose one above 1023."
    return f"{host} is not an address of this computer."
