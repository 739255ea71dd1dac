"""Chromium, a server to look at, and pages that are watched while a test drives them."""

import contextlib
import os
import shutil
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, Literal
from urllib.parse import urljoin

import pytest
import waitress
from flask import Flask
from playwright.sync_api import Browser, Page, sync_playwright
from waitress.wasyncore import close_all

from app.clock import FixedClock
from tests.browser.house import House, furnish
from tests.browser.school import School
from tests.browser.slowly import slowly
from tests.browser.watching import violations
from tests.browser.windows import COOKIE, OpenPage, Stage, Window, Windows
from tests.demo_record import demo_record
from tests.record import MONDAY, ZONE, Record, new_record
from tests.web.conftest import serving

Wsgi = Callable[[dict[str, Any], Any], Any]

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


def _closing_files(app: Wsgi) -> Wsgi:
    """The app, whose files are closed also when the browser goes on before it has them whole.

    Handed over to the server, such a file stays open until it is collected, in some later test.
    """

    def answer(environ: dict[str, Any], start_response: Any) -> Any:
        environ.pop("wsgi.file_wrapper", None)
        return app(environ, start_response)

    return answer


@contextlib.contextmanager
def served(app: Wsgi) -> Iterator[str]:
    """Serve an app from a thread of this process; gives its address."""
    connections: dict[int, Any] = {}
    server = waitress.create_server(
        _closing_files(slowly(app)), map=connections, host="127.0.0.1", port=0, threads=4
    )
    thread = threading.Thread(target=_run, args=(server,), daemon=True)
    thread.start()
    yield f"http://127.0.0.1:{server.effective_port}"
    server.close()
    server.task_dispatcher.shutdown()
    # a browser's open connections would keep the loop going, and later warn as unclosed
    close_all(connections, ignore_all=True)
    thread.join(timeout=5)


@pytest.fixture(scope="session")
def stage() -> Iterator[Stage]:
    """Where tests show their applications one after the other."""
    stage = Stage()
    with served(stage) as stage.address:
        yield stage


@pytest.fixture
def serve(stage: Stage) -> Iterator[Callable[[Flask], str]]:
    """Serve an app until the test ends; gives its address."""

    def show(app: Flask) -> str:
        assert stage.app is None, "one application at a time"
        stage.app = app
        return stage.address

    yield show
    stage.app = None


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


@pytest.fixture(scope="session")
def windows(browser: Browser, stage: Stage) -> Windows:
    """Windows that wait to be used again."""
    return Windows(browser, stage)


@pytest.fixture
def open_page(windows: Windows, serve: Callable[[Flask], str]) -> Iterator[OpenPage]:
    """Open pages that are watched: a console message or a foreign request fails the test.

    It asks for `serve` so that the pages are left before their application is.
    """
    lent: list[Window] = []

    def open_one(
        address: str,
        *,
        cookie: str = "",
        width: int = 1280,
        color_scheme: Literal["light", "dark"] = "light",
        javascript: bool = True,
        **more: Any,
    ) -> Page:
        window = windows.lend(
            width=width, own=bool(more),
            color_scheme=color_scheme, java_script_enabled=javascript, **more,
        )  # fmt: skip
        lent.append(window)
        if cookie:
            home = urljoin(address, "/")
            window.page.context.add_cookies([{"name": COOKIE, "value": cookie, "url": home}])
        window.page.goto(address)
        return window.page

    yield open_one
    faults = []
    for window in lent:
        windows.take_back(window)
        faults += window.watch.faults
    assert faults == []


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    """A class's record; a module that needs more in it has a fixture of this name."""
    made = new_record(tmp_path)
    yield made
    made.database.close()


@pytest.fixture
def clock() -> FixedClock:
    """The clock of the server."""
    return FixedClock(MONDAY)


@pytest.fixture
def app(tmp_path: Path, clock: FixedClock, record: Record) -> Iterator[Flask]:
    """The application on the record."""
    with serving(tmp_path, clock, record.database) as app:
        yield app


@pytest.fixture
def school(
    app: Flask, record: Record, clock: FixedClock, serve: Callable[[Flask], str],
    open_page: OpenPage,
) -> School:  # fmt: skip
    """The record, served. `app` stands first, for it is given back when nobody sees it."""
    return School(record, clock, app, serve(app), open_page)


@pytest.fixture
def axe() -> Callable[[Page], list[str]]:
    """Look for barriers on a page with axe-core; an empty list is a page without any."""
    return violations
