"""Every page of the demo in a real browser: no barrier, no sideways scroll, nothing blocked."""

import re
from collections.abc import Callable, Iterator
from urllib.parse import urlsplit

from playwright.sync_api import Page

from tests.browser.conftest import OpenPage
from tests.browser.house import House

WIDTHS = (320, 1280)
# what a browser saves instead of showing it, and what is no page
_DOWNLOADS = re.compile(r"^/static|\.(csv|zip|ics|json|jpg|pdf|sqlite)$|/take-along/.+|/photo/")
# fewer than these would mean that the walk lost its way
LEAST_PAGES = 25


def kind_of(path: str) -> str:
    """A path with its numbers and names taken out: two entries have one kind of page."""
    bare = re.sub(r"/\d+", "/N", path)
    folders = (
        "to-do", "charts", "odd", "numbers/animals", "numbers/plants", "work-out",
        "starting", "closing",
    )  # fmt: skip
    for folder in folders:
        bare = re.sub(rf"/{folder}/[^/]+", f"/{folder}/NAME", bare)
    return bare


def walk(page: Page) -> Iterator[str]:
    """Open one page of each kind that links lead to, starting where the page is."""
    home = urlsplit(page.url)
    found: set[str] = set()
    waiting = [home.path]
    while waiting:
        path = waiting.pop(0)
        if kind_of(path) in found:
            continue
        answer = page.goto(f"{home.scheme}://{home.netloc}{path}")
        assert answer is not None
        assert answer.status == 200, f"{path} answered {answer.status}"
        found.add(kind_of(path))
        links = page.eval_on_selector_all("a[href]", "all => all.map(a => a.href)")
        waiting += [
            parts.path
            for parts in map(urlsplit, links)
            if parts.netloc == home.netloc and not _DOWNLOADS.search(parts.path)
        ]
        yield kind_of(path)


def test_every_page_can_be_used_narrow_and_wide(
    house: House, open_page: OpenPage, axe: Callable[[Page], list[str]]
) -> None:
    page = open_page(house.link())
    seen, faults = [], []
    for kind in walk(page):
        seen.append(kind)
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 900})
            faults += [f"{kind} at {width}: {fault}" for fault in axe(page)]
            needed = page.evaluate("document.documentElement.scrollWidth")
            if needed > width:
                faults.append(f"{kind} at {width}: {needed} px wide")
    assert len(seen) >= LEAST_PAGES, sorted(seen)
    assert faults == []
