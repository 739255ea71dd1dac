"""Browser windows that tests use one after the other: a new one costs as much as six pages."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Literal, Protocol

from playwright.sync_api import Browser, Page, ViewportSize

from tests.browser.watching import Watch

COOKIE = "sillpond"
"""What a browser holds a session by."""

WAITING = "/waiting"
_ROOM = b"""<!doctype html><html lang="en"><head><title>Waiting</title>
<link rel="icon" href="data:,"></head></html>"""
_FORGET = "localStorage.clear(); sessionStorage.clear()"


@dataclass
class Stage:
    """The application of the running test, at an address that stays: and a page to wait on.

    For an address that it does not know the browser would start a process, and fetch all files.
    """

    address: str = ""
    app: Callable[[dict[str, Any], Any], Any] | None = None

    def __call__(self, environ: dict[str, Any], start_response: Any) -> Any:
        """Answer a request as WSGI has it."""
        if self.app is None or environ["PATH_INFO"] == WAITING:
            start_response("200 OK", [("Content-Type", "text/html; charset=utf-8")])
            return [_ROOM]
        return self.app(environ, start_response)


class OpenPage(Protocol):
    """Opens an address in a window that nobody else has."""

    def __call__(
        self,
        address: str,
        *,
        cookie: str = "",
        width: int = 1280,
        color_scheme: Literal["light", "dark"] = "light",
        javascript: bool = True,
        **more: Any,
    ) -> Page:
        """Return the page, loaded; the window has no cookies but the one that is given.

        What else is given is handed to Playwright for a new context, which then is the test's
        own: it may do with it what it likes. Others are used again by other tests.
        """


@dataclass
class Window:
    """A page in a browser context of its own, watched; without a kind it is one test's alone."""

    page: Page
    watch: Watch
    kind: tuple[Any, ...] | None


@dataclass
class Windows:
    """Windows that wait on the stage for the next test; each is lent to one at a time."""

    browser: Browser
    stage: Stage
    _waiting: dict[tuple[Any, ...], list[Window]] = field(default_factory=dict)

    def lend(self, *, width: int, own: bool, **how: Any) -> Window:
        """A window without cookies; `own` for a test that changes the context itself."""
        size: ViewportSize = {"width": width, "height": 900}
        kind = None if own else tuple(sorted(how.items()))
        if kind and self._waiting.get(kind):
            window = self._waiting[kind].pop()
            window.watch.faults = []
            window.page.set_viewport_size(size)
            return window
        context = self.browser.new_context(viewport=size, locale="en-US", **how)
        watch = Watch(context, self.stage.address)
        return Window(context.new_page(), watch, kind)

    def take_back(self, window: Window) -> None:
        """End what the window shows; a shared one forgets all but files that never change."""
        context = window.page.context
        if window.kind is None:
            context.close()
            return
        for page in context.pages:
            if page is not window.page:
                page.close()
        context.clear_cookies()
        window.page.goto(self.stage.address + WAITING)
        window.page.evaluate(_FORGET)
        self._waiting.setdefault(window.kind, []).append(window)
