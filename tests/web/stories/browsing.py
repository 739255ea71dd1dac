"""A browser without a screen: pages with their links and forms, posted as a browser would.

Forms are read from the fetched page, so that hidden fields, tokens and preset choices are those
of the page; a choice that the page does not offer cannot be made.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import urljoin

from flask.testing import FlaskClient
from werkzeug.datastructures import MultiDict
from werkzeug.test import TestResponse

from tests.web.visits import words_of

Value = str | Sequence[str] | None
_TYPED = {"text", "password", "search", "date", "time", "datetime-local", "number"}


@dataclass
class Control:
    """One control of a form with what it would send."""

    name: str
    kind: str
    value: str
    chosen: bool = True


@dataclass
class Button:
    """A button that sends its form."""

    label: str
    name: str
    value: str


@dataclass
class Form:
    """A form of a page, as it would be sent."""

    action: str
    controls: list[Control] = field(default_factory=list)
    buttons: list[Button] = field(default_factory=list)

    def put(self, name: str, value: Value) -> None:
        """Type into a field, choose or tick; an empty list unticks all boxes."""
        found = [c for c in self.controls if c.name == name]
        assert found, f"the form has no field {name!r}, only {sorted(self.names)}"
        wanted = [value] if isinstance(value, str) else list(value or ())
        if found[0].kind in {"radio", "checkbox", "option"}:
            offered = [c.value for c in found]
            assert set(wanted) <= set(offered), f"{name!r} offers {offered}, not {wanted}"
            for control in found:
                control.chosen = control.value in wanted
        else:
            assert found[0].kind in _TYPED | {"textarea"}, f"nobody can type into {name!r}"
            (found[0].value,) = wanted or [""]

    @property
    def names(self) -> set[str]:
        """The names of its controls."""
        return {c.name for c in self.controls}

    def value(self, name: str) -> str:
        """What stands in a field or is chosen, or an empty text."""
        return next((c.value for c in self.controls if c.name == name and c.chosen), "")

    def offered(self, name: str) -> list[str]:
        """The values that a choice offers."""
        return [c.value for c in self.controls if c.name == name]

    def pairs(self, button: Button | None = None) -> MultiDict[str, str]:
        """What is sent when this button is pressed."""
        sent = [(c.name, c.value) for c in self.controls if c.name and c.chosen]
        if button is not None and button.name:
            sent.append((button.name, button.value))
        return MultiDict(sent)

    def button(self, label: str) -> Button:
        """The button with these words on it."""
        found = [b for b in self.buttons if b.label == label]
        assert found, f"no button {label!r}, only {[b.label for b in self.buttons]}"
        return found[0]


class _Reader(HTMLParser):
    def __init__(self, url: str) -> None:
        super().__init__(convert_charrefs=True)
        self.url = url
        self.forms: list[Form] = []
        self.searches: list[Form] = []
        self.links: list[tuple[str, str]] = []
        self._form: Form | None = None
        self._still: list[bool] = []  # of each fieldset around, whether it is disabled
        self._select = ""
        self._text: list[str] | None = None
        self._open: dict[str, str] = {}

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = {name: value or "" for name, value in attrs}
        if tag == "fieldset":
            self._still.append("disabled" in found)
        elif tag == "form":
            self._form = Form(urljoin(self.url, found.get("action") or self.url))
            posts = found.get("method", "get").lower() == "post"
            (self.forms if posts else self.searches).append(self._form)
        elif tag == "input":
            self._input(found)
        elif tag == "select":
            self._select = found.get("name", "")
        elif tag in {"a", "button", "textarea", "option"}:
            self._text, self._open = [], found

    def _input(self, found: dict[str, str]) -> None:
        kind = found.get("type", "text")
        if self._form is None or "disabled" in found or any(self._still):
            return
        chosen = kind not in {"radio", "checkbox"} or "checked" in found
        value = found.get("value", "on" if kind in {"radio", "checkbox"} else "")
        self._form.controls.append(Control(found.get("name", ""), kind, value, chosen))

    def handle_data(self, data: str) -> None:
        if self._text is not None:
            self._text.append(data)

    def handle_endtag(self, tag: str) -> None:
        if tag == "fieldset":
            self._still.pop()
        elif tag == "form":
            self._form = None
        elif tag == "select":
            self._close_select()
        elif tag in {"a", "button", "textarea", "option"} and self._text is not None:
            self._close(tag, "".join(self._text))
            self._text = None

    def _close(self, tag: str, text: str) -> None:
        found, said = self._open, " ".join(text.split())
        if tag == "a" and "href" in found:
            self.links.append((said, urljoin(self.url, found["href"])))
        elif self._form is None or any(self._still):
            return
        elif tag == "button" and found.get("type", "submit") == "submit":
            button = Button(said, found.get("name", ""), found.get("value", ""))
            self._form.buttons.append(button)
        elif tag == "textarea":
            typed = text.removeprefix("\n")
            self._form.controls.append(Control(found.get("name", ""), "textarea", typed))
        elif tag == "option":
            value = found.get("value", said)
            control = Control(self._select, "option", value, "selected" in found)
            self._form.controls.append(control)

    def _close_select(self) -> None:
        mine = [c for c in self._form.controls if c.name == self._select] if self._form else []
        if mine and not any(c.chosen for c in mine):
            mine[0].chosen = True
        self._select = ""


@dataclass
class Page:
    """A fetched page."""

    client: FlaskClient
    answer: TestResponse
    loads: int = 1

    def __post_init__(self) -> None:
        reader = _Reader(self.answer.request.url)
        reader.feed(self.answer.text)
        self.forms, self.links = reader.forms, reader.links
        self.searches = reader.searches  # forms that only ask

    @property
    def status(self) -> int:
        """The status of the answer."""
        return self.answer.status_code

    @property
    def words(self) -> str:
        """The visible text."""
        return words_of(self.answer.text)

    @property
    def path(self) -> str:
        """Its address on this server."""
        return self.answer.request.path

    def form(self, label: str = "Save") -> Form:
        """The form with a button of these words."""
        for each in self.forms:
            if any(b.label == label for b in each.buttons):
                return each
        raise AssertionError(f"no form with {label!r}: {list(self.labels())}")

    def labels(self) -> Iterator[str]:
        """The words on all buttons of forms."""
        return (b.label for each in self.forms for b in each.buttons)

    def follow(self, words: str) -> "Page":
        """Open the first link with these words."""
        found = [url for said, url in self.links if said == words]
        assert found, f"no link {words!r}, only {[said for said, _ in self.links]}"
        return visit(self.client, found[0])

    def press(self, label: str = "Save", **values: Value) -> "Page":
        """Fill the form that has this button, and press it."""
        form = self.form(label)
        for name, value in values.items():
            form.put(name, value)
        return send(self.client, form, form.button(label))


def visit(client: FlaskClient, url: str) -> Page:
    """Fetch a page; redirects are followed and counted as part of one page load."""
    return _arrive(client, client.get(url))


def send(client: FlaskClient, form: Form, button: Button | None = None) -> Page:
    """Send a form."""
    return _arrive(client, client.post(form.action, data=form.pairs(button)))


def _arrive(client: FlaskClient, answer: TestResponse) -> Page:
    for _ in range(5):
        if answer.status_code not in {301, 302, 303, 307, 308}:
            break
        answer = client.get(urljoin(answer.request.url, answer.headers["Location"]))
    return Page(client, answer)
