"""Chromium, a server to look at, and pages that are watched while a test drives them."""

import contextlib
import os
import shutil
import threading
from collections.abc import Callable, Iterator
from typing import Any, Literal, Protocol

import pytest
import waitress
from flask import Flask
from playwright.sync_api import Browser, Page, sync_playwright
from waitress.wasyncore import close_all

from tests.browser.house import House, furnish
from tests.browser.watching import Watch, violations
from tests.demo_record import demo_record
from tests.record import MONDAY, ZONE

FLAGS = (
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    # there is no other host: what a page would ask of one is noted, and goes nowhere
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1",
)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Mark every test that needs Chromium, so that `-m 'not browser'` leaves them out."""
    for item in items:
        if "launch" in getattr(item, "fixturenames", ()):
            item.add_marker(pytest.mark.browser)


@pytest.fixture(scope="session")
def launch() -> Iterator[Callable[..., Browser]]:
    """Start the Chromium that CHROMIUM names or that is on the PATH, with more flags if need be.

    Without one the tests are skipped, unless SILLPOND_REQUIRE_BROWSER=1 makes that a failure.
    """
    program = os.environ.get("CHROMIUM") or shutil.which("chromium")
    if not program:
        required = os.environ.get("SILLPOND_REQUIRE_BROWSER") == "1"
        (pytest.fail if required else pytest.skip)("there is no Chromium on this machine")
    # Chromium's sandbox refuses to work for root; everybody else keeps it
    root_only = ["--no-sandbox"] if getattr(os, "geteuid", lambda: 1)() == 0 else []
    with sync_playwright() as playwright:
        yield lambda *flags: playwright.chromium.launch(
            executable_path=program,
            args=[*FLAGS, *root_only, *flags],
            chromium_sandbox=not root_only,
        )


@pytest.fixture(scope="session")
def browser(launch: Callable[..., Browser]) -> Iterator[Browser]:
    """A Chromium for all tests that open pages of their own."""
    chromium = launch()
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


@contextlib.contextmanager
def served(app: Flask) -> Iterator[str]:
    """Serve an app from a thread of this process; gives its address."""
    connections: dict[int, Any] = {}
    server = waitress.create_server(
        _closing_files(app), map=connections, host="127.0.0.1", port=0, threads=4
    )
    thread = threading.Thread(target=_run, args=(server,), daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.effective_port}"
    server.close()
    server.task_dispatcher.shutdown()
    # a browser's open connections would keep the loop going, and later warn as unclosed
    close_all(connections, ignore_all=True)
    thread.join(timeout=5)


@pytest.fixture
def serve() -> Iterator[Callable[[Flask], str]]:
    """Serve an app until the test ends; gives its address."""
    with contextlib.ExitStack() as stack:
        yield lambda app: stack.enter_context(served(app))


@pytest.fixture(scope="session")
def house(
    launch: Callable[..., Browser], tmp_path_factory: pytest.TempPathFactory
) -> Iterator[House]:
    """The demo with everything in it, served; it asks for `launch` to be skipped with it."""
    folder = tmp_path_factory.mktemp("house")
    database, _ = demo_record(tmp_path_factory, folder, now=MONDAY, zone=ZONE)
    made = furnish(database, folder)
    with served(made.app) as made.address:
        yield made
    made.database.close()


class OpenPage(Protocol):
    """Opens an address in a fresh browser context."""

    def __call__(
        self,
        address: str,
        *,
        width: int = 1280,
        color_scheme: Literal["light", "dark"] = "light",
        javascript: bool = True,
        **more: Any,
    ) -> Page:
        """Return the page, loaded; the context has no cookies and no memory.

        What else is given is handed to Playwright for the new context.
        """


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
        **more: Any,
    ) -> Page:
        context = browser.new_context(
            viewport={"width": width, "height": 900},
            color_scheme=color_scheme,
            java_script_enabled=javascript,
            locale="en-US",
            **more,
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
