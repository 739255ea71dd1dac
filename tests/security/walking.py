"""Everything that somebody can reach: pages by their links, with the forms on them."""

from collections.abc import Iterator
from dataclasses import dataclass, field
from urllib.parse import urlsplit

from werkzeug.test import TestResponse

from tests.security.house import Caller, House
from tests.web.crawling import crawl
from tests.web.every_address import address_of
from tests.web.stories.browsing import Form, Page


@dataclass(frozen=True)
class Found:
    """A form that somebody found on a page; `asks` where it changes nothing."""

    caller: Caller
    page: str
    form: Form
    asks: bool = False


def answers(house: House, caller: Caller, *, same: int = 1) -> Iterator[tuple[str, TestResponse]]:
    """Each page that links reach for somebody, `same` of an endpoint."""
    house.come_back(caller)
    for url, _found_on, answer in crawl(caller.client, caller.start, same=same):
        yield url, answer


def forms_on(caller: Caller, url: str, answer: TestResponse) -> Iterator[Found]:
    """The forms of a page."""
    if answer.mimetype == "text/html" and "<form" in answer.text:
        page = Page(caller.client, answer)
        yield from (Found(caller, url, form) for form in page.forms)
        yield from (Found(caller, url, form, asks=True) for form in page.searches)


def endpoint(house: House, found: Found) -> str:
    """The endpoint that a form is sent to."""
    path = urlsplit(found.form.action).path
    method = "GET" if found.asks else "POST"
    name, _ = house.app.url_map.bind("localhost").match(path, method=method)
    return str(name)


@dataclass
class Walk:
    """Looks at pages and keeps one form of those that are sent to one endpoint and look alike."""

    house: House
    found: dict[tuple[str, str, frozenset[str]], Found] = field(default_factory=dict)

    def look_at(self, caller: Caller, url: str, answer: TestResponse) -> None:
        """Keep the forms of a page that are new."""
        for each in forms_on(caller, url, answer):
            kind = (caller.name, endpoint(self.house, each), frozenset(each.form.names))
            self.found.setdefault(kind, each)


def forms_of(house: House, caller: Caller) -> list[Found]:
    """The kinds of forms that somebody can reach by links."""
    walk = Walk(house)
    for url, answer in answers(house, caller):
        walk.look_at(caller, url, answer)
    return list(walk.found.values())


def forms_at_once(house: House, caller: Caller) -> list[Found]:
    """The forms of pages that show one and take it themselves, without a walk to find them."""
    walk = Walk(house)
    for rule in house.app.url_map.iter_rules():
        if {"GET", "POST"} <= (rule.methods or set()) and "token" not in rule.arguments:
            url = address_of(house.app, rule, row=1)
            walk.look_at(caller, url, caller.client.get(url, buffered=True))
    walk.look_at(caller, caller.start, caller.client.get(caller.start))
    return list(walk.found.values())
