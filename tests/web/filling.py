"""Fill a page's form as a browser would: every field as it stands, then what somebody changes."""

from html.parser import HTMLParser
from typing import Any

from werkzeug.test import TestResponse

from app.domain.records import EntryKind
from app.services import story
from app.services.story import StoryLine
from tests.page_checker import CheckedClient
from tests.record import Record

Values = dict[str, Any]


class _Forms(HTMLParser):
    """The successful controls of each posting form on a page."""

    def __init__(self) -> None:
        super().__init__()
        self.forms: list[Values] = []
        self._select = ""
        self._area = ""
        self._inside = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._inside = True
            self.forms.append({})
        if not self._inside:
            return
        name = values.get("name", "")
        if tag == "input":
            self._input(name, values, checked="checked" in values)
        elif tag == "select":
            self._select = name
        elif tag == "option" and self._select:
            if "selected" in values or self._select not in self.forms[-1]:
                self.forms[-1][self._select] = values.get("value", "")
        elif tag == "textarea":
            self._area = name
            self.forms[-1][name] = ""

    def _input(self, name: str, values: dict[str, str], *, checked: bool) -> None:
        kind = values.get("type", "text")
        if kind == "checkbox":
            if checked:
                self.forms[-1].setdefault(name, []).append(values.get("value", "on"))
        elif kind == "radio":
            if checked:
                self.forms[-1][name] = values.get("value", "on")
        elif kind not in {"submit", "button", "file"}:
            self.forms[-1][name] = values.get("value", "")

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._inside = False
        if tag == "select":
            self._select = ""
        if tag == "textarea":
            self._area = ""

    def handle_data(self, data: str) -> None:
        if self._area:
            # a browser drops the line break with which a text area begins
            text = data.replace("\r\n", "\n")
            self.forms[-1][self._area] += text if self.forms[-1][self._area] else text[1:]


def form_on(html: str, *, at: int = -1) -> Values:
    """The values of one form of a page, by default the last one."""
    reader = _Forms()
    reader.feed(html)
    return reader.forms[at]


def opened(client: CheckedClient, url: str, *, at: int = -1) -> Values:
    """Open a page and take its form as it stands."""
    return form_on(client.get(url).text, at=at)


def save(client: CheckedClient, url: str, **changed: Any) -> TestResponse:
    """Open a page, change some fields, and press Save."""
    return client.post(url, data=opened(client, url) | changed)


def saved_id(answer: TestResponse) -> int:
    """The entry that a save answered with."""
    assert answer.status_code == 303, answer.text
    return int(answer.location.rpartition("saved=")[2])


def lines(record: Record, kind: EntryKind) -> tuple[StoryLine, ...]:
    """The entries of a kind, newest first."""
    with record.database.reading() as session:
        return story.story(session, record.tank_id, kinds=frozenset({kind})).lines
