"""Every page of the demo, in every role, in a real browser: whoever comes can use it.

Each kind of page is loaded once and then looked at in several ways. With SILLPOND_HEAVY=1 it is
up to three pages of a kind, and all rules in all widths, color schemes and media.
"""

import os
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlsplit

import pytest
from flask import Flask
from playwright.sync_api import Page
from werkzeug.exceptions import HTTPException

from app.clock import FixedClock
from app.domain.people import Role
from app.factory import create_app
from app.settings import Settings
from app.web.rights import roles_of
from tests.browser.conftest import OpenPage
from tests.browser.house import House
from tests.browser.watching import COLOR_RULES, violations
from tests.page_checker import check_page

HEAVY = os.environ.get("SILLPOND_HEAVY") == "1"
OF_A_KIND = 3 if HEAVY else 1
# a window of 1280 by 1024 px at a zoom of 400 %
ZOOMED = {"width": 320, "height": 256}
NARROW = {"width": 320, "height": 900}
WIDE = {"width": 1280, "height": 900}
# for programs, for people with a link, and the ways in: not for who is signed in
FOR_OTHERS = {"api", "guest", "health", "static", "access.join",
              "access.join_with", "access.use_link"}  # fmt: skip
FILES = re.compile(r"\.(csv|ics|jpg|json|svg|zip)$")

# WCAG 2.2, 1.4.12: nothing is lost when a reader sets these
SPACED = """() => {
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(`* { line-height: 1.5 !important; letter-spacing: .12em !important;
    word-spacing: .16em !important; } p { margin-bottom: 2em !important; }`);
  document.adoptedStyleSheets = [sheet];
}"""
UNSPACED = "document.adoptedStyleSheets = []"
# texts that their own box cuts off
CUT_OFF = """() => [...document.querySelectorAll("main *, header *, footer *")].filter(each => {
  const style = getComputedStyle(each);
  return style.clipPath === "none" && /hidden|clip/.test(style.overflow) && !each.closest(".hidden, svg")
    && each.textContent.trim()
    && (each.scrollWidth > each.clientWidth + 1 || each.scrollHeight > each.clientHeight + 1);
}).map(each => each.className || each.tagName)"""
# WCAG 2.2, 2.4.11: what has the focus is not behind the bar that stays at the lower edge
BEHIND_THE_BAR = """() => {
  const bar = document.querySelector(".save-bar");
  if (!bar) return [];
  const all = document.querySelectorAll(
    "main a[href], main button, main input:not([type=hidden]), main select, main textarea, summary");
  return [...all].filter(each => {
    if (bar.contains(each) || each.closest(".hidden") || each.tabIndex < 0) return false;
    each.focus();
    if (document.activeElement !== each) return false;
    const { top, bottom, height } = each.getBoundingClientRect(), over = bar.getBoundingClientRect();
    return height > 0 && (top >= over.top - 1 && bottom <= over.bottom + 1 || bottom <= 0);
  }).map(each => each.id || each.textContent.trim().slice(0, 40) || each.name);
}"""


@dataclass
class Walk:
    """A walk through all pages that links lead to; what it saw, and what was wrong there."""

    app: Flask
    page: Page
    seen: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)

    def kind_of(self, path: str) -> str:
        """The endpoint of an address; one that no rule knows stands for itself."""
        try:
            found, _ = self.app.url_map.bind("localhost").match(path)
        except HTTPException:
            return path
        return str(found)

    def go(self, *starts: str) -> None:
        """Look at pages of each kind that links lead to, beginning with these."""
        home = urlsplit(self.page.url)
        waiting = [*starts] or [home.path]
        known = set(waiting)
        while waiting:
            path = waiting.pop(0)
            kind = self.kind_of(path)
            if self.seen[kind] >= OF_A_KIND or FILES.search(path) or kind == "static":
                continue
            self.seen[kind] += 1
            self.look(f"{home.scheme}://{home.netloc}{path}", kind)
            links = self.page.eval_on_selector_all("a[href]", "all => all.map(a => a.href)")
            for parts in map(urlsplit, links):
                if parts.netloc == home.netloc and parts.path not in known:
                    known.add(parts.path)
                    waiting.append(parts.path)

    def look(self, address: str, kind: str, status: int = 200) -> None:
        """Load one page and look at it in several ways."""
        self.page.set_viewport_size(NARROW)
        answer = self.page.goto(address)
        assert answer is not None
        if answer.status != status:
            self.faults.append(f"{address} answered {answer.status}")
            return
        found = list(self._ways())
        if HEAVY:
            found += check_page(address, answer.status, answer.headers, answer.text())
        self.faults += [f"{kind} ({urlsplit(address).path}): {fault}" for fault in found]

    def _ways(self) -> Iterator[str]:
        page = self.page
        yield from violations(page)
        yield from self._fits("320 px")
        page.evaluate(SPACED)
        yield from self._fits("320 px, more space in the text")
        yield from (f"cut off with more space: {each}" for each in page.evaluate(CUT_OFF))
        page.evaluate(UNSPACED)
        for size in (NARROW, ZOOMED):
            page.set_viewport_size(size)
            yield from (f"behind the Save bar: {each}" for each in page.evaluate(BEHIND_THE_BAR))
        page.set_viewport_size(WIDE)
        yield from self._fits("1280 px")
        yield from (f"wide: {each}" for each in violations(page, () if HEAVY else ["target-size"]))
        yield from self._colors()

    def _fits(self, where: str) -> Iterator[str]:
        needed, there = self.page.evaluate(
            "[document.documentElement.scrollWidth, document.documentElement.clientWidth]"
        )
        if needed > there:
            yield f"{where}: {needed} px wide"

    def _colors(self) -> Iterator[str]:
        """Dark and print; in the ordinary suite, one kind of page in one of the two."""
        ways: list[dict[str, Any]] = [{"color_scheme": "dark"}, {"media": "print"}]
        chosen = ways if HEAVY else [ways[len(self.seen) % 2]]
        for way in chosen:
            self.page.emulate_media(**way)
            (name,) = way.values()
            for each in violations(self.page, () if HEAVY else COLOR_RULES):
                yield f"{name}: {each}"
            self.page.emulate_media(color_scheme="light", media="screen")


@pytest.fixture(scope="session")
def app(house: House) -> Flask:
    """An application whose map of addresses tells kinds of pages apart."""
    settings = Settings(data_folder=house.folder, secret_key="only a test")
    return create_app(settings, FixedClock(house.clock.moment), house.database)


def pages_for(app: Flask, role: Role) -> set[str]:
    """The endpoints of pages that somebody who signed in may open in a role."""
    rules = [
        rule
        for rule in app.url_map.iter_rules()
        if "GET" in (rule.methods or ()) and not FILES.search(rule.rule)
    ]
    return {
        rule.endpoint
        for rule in rules
        if role in (roles_of(rule.endpoint) or ())
        and not FOR_OTHERS & {rule.endpoint, rule.endpoint.partition(".")[0]}
    }


def test_a_keeper_can_use_every_page(app: Flask, house: House, open_page: OpenPage) -> None:
    page = open_page(house.link(), reduced_motion="reduce")
    page.goto(f"{house.address}/tank/2/lessons?month=2027-01")
    of_a_month = page.locator("a[href*='/lessons/month/']").first.get_attribute("href")
    walk = Walk(app, page)
    # where no other page of this record leads: the label's code, what a tank in trouble shows
    walk.go("/", f"{of_a_month}", *(f"/{p}" for p in ("t/1", "tank/1/ammonia-entry",
            "tank/1/fish-and-plants/clashes")))  # fmt: skip
    assert "\n".join(walk.faults) == ""
    assert pages_for(app, Role.KEEPER) - set(walk.seen) == set()


def test_helpers_can_use_every_page(app: Flask, house: House, open_page: OpenPage) -> None:
    page = open_page(house.link(), reduced_motion="reduce")
    page.goto(f"{house.address}/device")
    page.get_by_role("button", name="Hand it to the helpers").click()
    page.wait_for_url("**/tank*")
    walk = Walk(app, page)
    walk.go("/", "/tank/2/work-out")
    assert "\n".join(walk.faults) == ""
    # what they wrote ten minutes ago at most; nobody did in this record
    assert pages_for(app, Role.HELPER) - set(walk.seen) == {"writing.fix"}


def test_whoever_has_a_link_or_none_can_use_every_page(
    app: Flask, house: House, open_page: OpenPage
) -> None:
    walk = Walk(app, open_page(f"{house.address}/", reduced_motion="reduce"))
    codes = house.codes
    for path in ("/", "/join", f"/join/{codes['join']}", "/words"):
        walk.look(f"{house.address}{path}", path)
    for path in ("", "/odd", "/help"):
        walk.look(f"{house.address}/v/{codes['sitter']}{path}", f"sitter{path}")
    walk.look(f"{house.address}/v/{codes['family']}", "family")
    for path in (f"/v/{'x' * 32}", "/no-such-page", f"/sign-in/{'x' * 32}"):
        walk.look(f"{house.address}{path}", path, status=404)
    assert "\n".join(walk.faults) == ""
