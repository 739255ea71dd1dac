"""Chromium, a server to look at, and pages that are watched while a test drives them."""

import contextlib
import os
import re
import shutil
import socket
import subprocess
import sys
import threading
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, Literal, Protocol

import pytest
import waitress
from flask import Flask
from playwright.sync_api import Browser, Page, sync_playwright
from waitress.wasyncore import close_all

from tests.browser.watching import Watch, violations

FLAGS = (
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
START_SECONDS = 60
ROOT = Path(__file__).parents[2]
LINK = re.compile(r"http://127\.0\.0\.1:\d+/\S+")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark every test that needs Chromium, so that `-m 'not browser'` leaves them out."""
    for item in items:
        if "browser" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """The Chromium that CHROMIUM names or that is on the PATH.

    Without one the tests are skipped, unless SILLPOND_REQUIRE_BROWSER=1 makes that a failure.
    """
    program = os.environ.get("CHROMIUM") or shutil.which("chromium")
    if not program:
        required = os.environ.get("SILLPOND_REQUIRE_BROWSER") == "1"
        (pytest.fail if required else pytest.skip)("there is no Chromium on this machine")
    # Chromium's sandbox refuses to work for root; everybody else keeps it
    root_only = ["--no-sandbox"] if getattr(os, "geteuid", lambda: 1)() == 0 else []
    with sync_playwright() as playwright:
        chromium = playwright.chromium.launch(
            executable_path=program, args=[*FLAGS, *root_only], chromium_sandbox=not root_only
        )
        yield chromium
        chromium.close()


def _run(server: waitress.server.BaseWSGIServer) -> None:
    # closing takes the socket away from under the loop that waits on it
    with contextlib.suppress(OSError):
        server.run()


def _closing_files(app: Flask) -> Callable[..., Any]:
    """The app, whose files are closed also when the browser goes on before it has them whole.

    Handed over to the server, such a file stays open until it is collected, in some later test.
    """

    def answer(environ: dict[str, Any], start_response: Any) -> Any:
        environ.pop("wsgi.file_wrapper", None)
        return app(environ, start_response)

    return answer


@pytest.fixture
def serve() -> Iterator[Callable[[Flask], str]]:
    """Serve an app from a thread of this process until the test ends; gives its address."""
    started: list[tuple[waitress.server.BaseWSGIServer, dict[int, Any], threading.Thread]] = []

    def start(app: Flask) -> str:
        connections: dict[int, Any] = {}
        server = waitress.create_server(
            _closing_files(app), map=connections, host="127.0.0.1", port=0, threads=4
        )
        thread = threading.Thread(target=_run, args=(server,), daemon=True)
        thread.start()
        started.append((server, connections, thread))
        return f"http://127.0.0.1:{server.effective_port}"

    yield start
    for server, connections, thread in started:
        server.close()
        server.task_dispatcher.shutdown()
        # a browser's open connections would keep the loop going, and later warn as unclosed
        close_all(connections, ignore_all=True)
        thread.join(timeout=5)


@pytest.fixture(scope="session")
def server() -> Iterator[str]:
    """The demo as a visitor starts it: its one-time sign-in link, printed by `sillpond demo`."""
    command = [*sillpond_command(), "demo", "--no-browser", "--port", str(free_port())]
    process = subprocess.Popen(
        command, cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT,
        text=True, encoding="utf-8",
    )  # fmt: skip
    reader = LinkReader(process)
    try:
        yield reader.link()
    finally:
        process.terminate()
        process.wait(timeout=10)
        reader.thread.join(timeout=5)


def sillpond_command() -> list[str]:
    """The command as `pyproject.toml` names it, whether or not the package is installed."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    module, function = project["scripts"]["sillpond"].split(":")
    return [sys.executable, "-u", "-c", f"from {module} import {function} as main; main()"]


def free_port() -> int:
    """A port of this machine that nobody uses at the moment."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


class LinkReader:
    """Reads on what a process prints, so that it never stalls, and waits for its link."""

    def __init__(self, process: subprocess.Popen[str]) -> None:
        self.lines: list[str] = []
        self._found = threading.Event()
        self._link = ""
        self.thread = threading.Thread(target=self._read, args=(process,), daemon=True)
        self.thread.start()

    def _read(self, process: subprocess.Popen[str]) -> None:
        assert process.stdout is not None
        with process.stdout as output:
            for line in output:
                self.lines.append(line)
                if not self._link and (match := LINK.search(line)):
                    self._link = match[0]
                    self._found.set()
        self._found.set()

    def link(self) -> str:
        """Return the first link that was printed; fails the test when none comes."""
        self._found.wait(START_SECONDS)
        if not self._link:
            pytest.fail("the demo printed no link:\n" + "".join(self.lines))
        return self._link


class OpenPage(Protocol):
    """Opens an address in a fresh browser context."""

    def __call__(
        self,
        address: str,
        *,
        width: int = 1280,
        color_scheme: Literal["light", "dark"] = "light",
        javascript: bool = True,
    ) -> Page:
        """Return the page, loaded; the context has no cookies and no memory."""


@pytest.fixture
def open_page(browser: Browser, serve: Callable[[Flask], str]) -> Iterator[OpenPage]:
    """Open pages that are watched: a console message or a foreign request fails the test.

    It asks for `serve` so that the pages are closed before their server is.
    """
    opened = []

    def open_one(
        address: str,
        *,
        width: int = 1280,
        color_scheme: Literal["light", "dark"] = "light",
        javascript: bool = True,
    ) -> Page:
        context = browser.new_context(
            viewport={"width": width, "height": 900},
            color_scheme=color_scheme,
            java_script_enabled=javascript,
            locale="en-US",
        )
        opened.append((context, Watch(context, address)))
        page = context.new_page()
        page.goto(address)
        return page

    yield open_one
    faults = []
    for context, watch in opened:
        context.close()
        faults += watch.faults
    assert faults == []


@pytest.fixture
def axe() -> Callable[[Page], list[str]]:
    """Look for barriers on a page with axe-core; an empty list is a page without any."""
    return violations
