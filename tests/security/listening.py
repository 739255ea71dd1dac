"""What would leave the machine, or start another program, while pages are opened.

Python reports it to a hook for audits (PEP 578), whatever library it comes from.
"""

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final

REACHES_OUT: Final = {
    "socket.connect", "socket.getaddrinfo", "socket.gethostbyname", "socket.sendto",
    "urllib.Request", "smtplib.connect", "http.client.connect", "ftplib.connect",
    "subprocess.Popen", "os.system", "os.exec", "os.posix_spawn", "webbrowser.open",
    "pickle.find_class",
}  # fmt: skip
_listening: list[list[str]] = []
_hooked: list[bool] = []


def _hear(event: str, args: tuple[object, ...]) -> None:
    if _listening and event in REACHES_OUT:
        _listening[-1].append(f"{event} {args[-1]!r}")


@contextmanager
def listening() -> Iterator[list[str]]:
    """What reaches out meanwhile. A hook cannot be taken off again: there is one, and it rests."""
    if not _hooked:
        sys.addaudithook(_hear)
        _hooked.append(True)
    found: list[str] = []
    _listening.append(found)
    try:
        yield found
    finally:
        _listening.remove(found)
