"""Every page of the demo, in every role, in a real browser: whoever comes can use it.

One page of each kind that helpers and people with a link may open is put into the browser as it
comes from the server, without its scripts. With SILLPOND_HEAVY=1, as in `.ci/run`, the browser
loads up to three of a kind by itself, a keeper's too, and looks in all ways.
"""

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

import pytest
from flask import Flask
from playwright.sync_api import Browser, Page
from werkzeug.test import TestResponse

from app.domain.people import Role
from app.web.rights import roles_of
from tests.browser.house import House
from tests.browser.looks import HEAVY, faults_of
from tests.browser.watching import Watch
from tests.page_checker import CheckedClient
from tests.web.conftest import new_client
from tests.web.crawling import crawl, endpoint_of
from tests.web.visits import csrf_of

# for programs, for people with a link, and the ways in: not for who is signed in
FOR_OTHERS = {"api", "guest", "health", "static", "access.join",
              "access.join_with", "access.use_link"}  # fmt: skip


@pytest.fixture(scope="module")
def window(house: House, launch: Callable[..., Browser]) -> Iterator[Page]:
    """A window for all walks; what a page says to its console or asks of others is a fault.

    Nothing is pressed there and nobody watches: painting ahead in a thread would only take time.
    """
    browser = launch("--disable-threaded-compositing")
    context = browser.new_context(reduced_motion="reduce", locale="en-US")
    watch = Watch(context, house.address)
    page = context.new_page()
    page.goto(house.address)
    yield page
    browser.close()
    assert watch.faults == []


@dataclass
class Walk:
    """A walk of one person through the pages; what was met, and what was wrong there."""

    house: House
    window: Page
    client: CheckedClient
    met: Counter[str] = field(default_factory=Counter)
    faults: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        """Let the browser be whose walk it is."""
        cookie = self.client.get_cookie("sillpond")
        self.window.context.clear_cookies()
        if cookie is not None:
            self.window.context.add_cookies(
                [{"name": "sillpond", "value": cookie.value, "url": self.house.address}]
            )

    def go(self, *starts: str) -> None:
        """Look at the pages of each kind that links lead to, beginning with these."""
        for url, _, answer in crawl(self.client, *starts, same=3 if HEAVY else 1):
            self.met[endpoint_of(self.house.app, url)] += 1
            if answer.status_code not in {200, 303}:
                self.faults.append(f"{url} answered {answer.status_code}")
            elif answer.status_code == 200 and answer.mimetype == "text/html":
                self.look(url, answer)

    def look(self, url: str, answer: TestResponse) -> None:
        """Look at one page, whose markup the client has checked."""
        if HEAVY:
            self.window.goto(self.house.address + url)
        else:
            self.window.set_content(answer.text)
        self.faults += [f"{url}: {fault}" for fault in faults_of(self.window)]

    def done(self) -> None:
        """Say all that was wrong at once."""
        assert "\n".join(self.faults) == ""


def keeper_of(house: House) -> CheckedClient:
    client = new_client(house.app)
    client.get(house.link().removeprefix(house.address))
    return client


def pages_for(app: Flask, role: Role) -> set[str]:
    """The endpoints that somebody who signed in may open in a role."""
    return {
        rule.endpoint
        for rule in app.url_map.iter_rules()
        if "GET" in (rule.methods or ())
        and role in (roles_of(rule.endpoint) or ())
        and not FOR_OTHERS & {rule.endpoint, rule.endpoint.partition(".")[0]}
    }


@pytest.mark.skipif(not HEAVY, reason="a minute and more; set SILLPOND_HEAVY=1")
def test_a_keeper_can_use_every_page(house: House, window: Page) -> None:
    walk = Walk(house, window, keeper_of(house))
    # where no other page of this record leads: the label's code, what a tank in trouble shows
    walk.go("/", "/tank/2/lessons?month=2027-01", "/t/1", "/tank/1/ammonia-entry",
            "/tank/1/fish-and-plants/clashes")  # fmt: skip
    walk.done()
    assert pages_for(house.app, Role.KEEPER) - set(walk.met) == set()


def test_helpers_can_use_every_page(house: House, window: Page) -> None:
    client = keeper_of(house)
    client.post("/device/hand-over", data={"csrf_token": csrf_of(client, "/device")})
    walk = Walk(house, window, client)
    walk.go("/", "/tank/2/work-out")
    walk.done()
    # what they wrote ten minutes ago at most; nobody did in this record
    assert pages_for(house.app, Role.HELPER) - set(walk.met) == {"writing.fix"}


def test_whoever_has_a_link_or_none_can_use_every_page(house: House, window: Page) -> None:
    for path in ("/", "/join", "/join/{join}", "/v/{sitter}", "/v/{family}"):
        walk = Walk(house, window, new_client(house.app))
        walk.go(path.format(**house.codes))
        walk.done()


@pytest.mark.parametrize("url", [f"/v/{'x' * 32}", "/no-such-page", f"/sign-in/{'x' * 32}"])
def test_whoever_finds_nothing_can_use_what_is_said(house: House, window: Page, url: str) -> None:
    walk = Walk(house, window, new_client(house.app))
    walk.look(url, walk.client.get(url))
    walk.done()
