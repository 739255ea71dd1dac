"""A test client that reads every page it fetches and refuses faulty ones.

`check_page` returns the faults of one page as sentences; `CheckedClient` calls it on every HTML
answer, error pages and the pages behind redirects included, so no test can fetch a faulty page
unnoticed. What counts as a fault follows the HTML standard, WCAG 2.2 and the policy header that
the app sends; the limit of size is the project's own.
"""

import functools
import re
from collections import Counter, defaultdict
from collections.abc import Iterator, Mapping
from typing import Any
from urllib.parse import urlsplit

from flask.testing import FlaskClient
from justhtml import Element, JustHTML
from werkzeug.test import TestResponse

from tests.page_tags import unbalanced_tags

MAX_PAGE_BYTES = 60_000
HEADINGS = {"h1", "h2", "h3", "h4", "h5", "h6"}
PHRASING_ONLY = HEADINGS | {"p", "span", "button", "label", "strong", "em", "b", "i", "small"}
BLOCKS = HEADINGS | {
    "div", "p", "ul", "ol", "dl", "table", "section", "article", "aside", "header", "footer",
    "nav", "main", "form", "fieldset", "details", "figure", "hr", "pre", "blockquote",
}  # fmt: skip
INTERACTIVE = {"a", "button", "input", "select", "textarea", "summary"}
ID_REFERENCES = (
    "for", "form", "list", "headers", "aria-labelledby", "aria-describedby", "aria-controls",
    "aria-errormessage", "aria-details", "aria-owns", "aria-activedescendant",
)  # fmt: skip
ADDRESSES = ("href", "src", "action", "formaction", "poster", "xlink:href", "cite", "data")
OWN_SCHEMES = ("", "http", "https")
MISSING_VALUE = re.compile(r"\b(?:None|nan|NaN|[Uu]ndefined)\b|object at 0x")
SPOKEN_ATTRIBUTES = ("alt", "title", "value", "placeholder", "aria-label", "content")
# what is new in a form each time it is fetched
TOKEN_VALUE = re.compile(r'value="[\w.-]{20,}"')
UNSPOKEN = {"script", "style", "template"}


def check_page(url: str, status: int, headers: Mapping[str, str], html: str) -> list[str]:
    """Return the faults of one HTML answer, each as a short sentence; empty for a good page.

    Args:
        url: The address it was fetched from; with a host, links may lead to that host only.
        status: The status code. A redirect has no page worth reading, only headers.
        headers: The answer's headers, names in any case.
        html: The body.
    """
    faults = list(check_headers(headers))
    if not 300 <= status < 400:
        faults += check_size(html)
        faults += _faults_of_text(urlsplit(url).netloc, TOKEN_VALUE.sub('value="token"', html))
    return faults


@functools.lru_cache(maxsize=1000)
def _faults_of_text(host: str, html: str) -> tuple[str, ...]:
    """The faults of what a page says; many tests fetch the same page, but for its tokens."""
    page = _Page(host, html)
    faults = [*check_markup(html), *(f"parse error: {error}" for error in page.errors)]
    for check in CHECKS:
        faults += check(page)
    return tuple(faults)


def check_headers(headers: Mapping[str, str]) -> Iterator[str]:
    """Yield what is lacking in the headers that every answer carries, files and errors too."""
    found = {name.lower(): value for name, value in headers.items()}
    if not found.get("content-security-policy", "").startswith("default-src 'none'"):
        yield "the Content-Security-Policy header does not begin with default-src 'none'"
    if found.get("x-content-type-options") != "nosniff":
        yield "no X-Content-Type-Options: nosniff header"
    if not found.get("referrer-policy"):
        yield "no Referrer-Policy header"
    kind = found.get("content-type", "").lower()
    if kind.startswith("text/") and "charset=utf-8" not in kind:
        yield "the Content-Type header of a text names no charset=utf-8"


def check_size(html: str) -> Iterator[str]:
    """Yield a fault when the page is too large for a slow connection."""
    size = len(html.encode())
    if size > MAX_PAGE_BYTES:
        yield f"the page has {size} bytes, more than {MAX_PAGE_BYTES}"


def check_markup(html: str) -> Iterator[str]:
    """Yield faults of the text itself: what a forgiving parser would silently put right."""
    if not html.lstrip().lower().startswith("<!doctype html>"):
        yield "no <!doctype html> at the start"
    yield from unbalanced_tags(html)


class _Page:
    """The parsed page: its elements in document order, its ids, what the parser put right."""

    def __init__(self, host: str, html: str) -> None:
        self.host = host
        tree = JustHTML(html, collect_errors=True, sanitize=False, scripting_enabled=False)
        self.errors = tree.errors
        self.elements = list(_descendants(tree.root))
        self.ids = Counter(_attr(e, "id") for e in self.elements if "id" in e.attrs)
        self.by_id = {_attr(e, "id"): e for e in self.elements if "id" in e.attrs}
        self._labels_of = defaultdict[str, list[Element]](list)
        for label in self.named("label"):
            self._labels_of[_attr(label, "for")].append(label)

    def named(self, *names: str) -> list[Element]:
        """Elements with one of these tag names."""
        return [e for e in self.elements if e.name in names]

    def name_of(self, element: Element) -> str:
        """What a screen reader calls the element: its accessible name, or an empty text."""
        referred = [self.by_id.get(i) for i in _attr(element, "aria-labelledby").split()]
        candidates = [
            " ".join(_spoken(e) for e in referred if e is not None),
            _attr(element, "aria-label"),
            *(_spoken(e) for e in self._labels(element)),
            _own_name(element),
            _attr(element, "title"),
        ]
        return next((text.strip() for text in candidates if text.strip()), "")

    def _labels(self, element: Element) -> list[Element]:
        key = _attr(element, "id")
        around = [e for e in _ancestors(element) if e.name == "label"]
        return around + (self._labels_of.get(key, []) if key else [])


def _descendants(node: Any) -> Iterator[Element]:
    for child in node.children or ():
        if isinstance(child, Element):
            yield child
            yield from _descendants(child)


def _ancestors(element: Element) -> Iterator[Element]:
    parent = element.parent
    while isinstance(parent, Element):
        yield parent
        parent = parent.parent


def _attr(element: Element, name: str) -> str:
    return element.attrs.get(name) or ""


def _unread(element: Element) -> bool:
    return _attr(element, "aria-hidden") == "true"


def _spoken(element: Element) -> str:
    """The text a screen reader reads from an element; a control inside a label adds nothing."""
    parts = []
    for child in element.children or ():
        if not isinstance(child, Element):
            parts.append(child.data if child.name == "#text" else "")
        elif child.name == "img":
            parts.append(_attr(child, "alt"))
        elif (
            child.name not in {"select", "textarea", *UNSPOKEN}
            and _attr(child, "aria-hidden") != "true"
        ):
            parts.append(_attr(child, "aria-label") or _spoken(child))
    return " ".join(str(part) for part in parts)


def _own_name(element: Element) -> str:
    """The name that content or attributes of a control itself give it."""
    if element.name == "input":
        kind = _attr(element, "type")
        named_by = {"submit": "value", "button": "value", "reset": "value", "image": "alt"}
        return _attr(element, named_by[kind]) if kind in named_by else ""
    if element.name == "fieldset":
        return " ".join(_spoken(e) for e in _descendants(element) if e.name == "legend")
    return "" if element.name in {"select", "textarea"} else _spoken(element)


def _called(element: Element) -> str:
    """The element as it is called in a fault: tag, and what tells it from its like."""
    telling = ("id", "name", "href", "action", "type", "class")
    mark = next((f" {a}={_attr(element, a)!r}" for a in telling if _attr(element, a)), "")
    return f"<{element.name}{mark}>"


def check_frame(page: _Page) -> Iterator[str]:
    """Language, title, width for phones, one main part."""
    root = page.named("html")
    if not root or not _attr(root[0], "lang").strip():
        yield "<html> has no lang"
    titles = [e for e in page.named("title") if e.namespace == "html"]
    if len(titles) != 1:
        yield f"{len(titles)} <title> elements instead of one"
    if any(not _spoken(e).strip() for e in titles):
        yield "the <title> is empty"
    if "viewport" not in {_attr(e, "name") for e in page.named("meta")}:
        yield "no viewport, so that phones show it tiny"
    if len(page.named("main")) != 1:
        yield f"{len(page.named('main'))} <main> elements instead of one"


def check_headings(page: _Page) -> Iterator[str]:
    """One first-level heading, no empty one, and no level left out on the way down."""
    above, firsts = 0, 0
    for element in page.elements:
        if element.name not in HEADINGS:
            continue
        level = int(element.name[1])
        firsts += level == 1
        if not _spoken(element).strip():
            yield f"{_called(element)} is empty"
        if level > above + 1:
            yield f"heading {_spoken(element).strip()!r} of level {level} follows level {above}"
        above = level
    if firsts != 1:
        yield f"{firsts} <h1> elements instead of one"


def check_nesting(page: _Page) -> Iterator[str]:
    """Blocks in running text, controls in controls, lists with other children than items."""
    for element in page.elements:
        parent = element.parent
        if not isinstance(parent, Element) or element.namespace != "html":
            continue
        if parent.name in PHRASING_ONLY and element.name in BLOCKS:
            yield f"{_called(element)} may not stand in {_called(parent)}"
        if parent.name in {"ul", "ol"} and element.name not in {"li", *UNSPOKEN}:
            yield f"{_called(element)} is a child of a list but no <li>"
        if parent.name == "dl" and element.name not in {"dt", "dd", "div"}:
            yield f"{_called(element)} is a child of <dl> but no <dt>, <dd> or <div>"
        around = next((e for e in _ancestors(element) if e.name in {"a", "button"}), None)
        if around is not None and element.name in INTERACTIVE:
            yield f"{_called(element)} may not stand in {_called(around)}"


def check_ids(page: _Page) -> Iterator[str]:
    """Every id once, and nothing that points at an id that is not there."""
    for key, times in page.ids.items():
        if times > 1:
            yield f"id {key!r} is there {times} times"
        if not key or re.search(r"\s", key):
            yield f"id {key!r} is empty or has a space"
    for element in page.elements:
        for target in _targets(element):
            if target not in page.ids:
                yield f"{_called(element)} points at #{target}, which is not there"


def _targets(element: Element) -> Iterator[str]:
    for name, value in element.attrs.items():
        text = value or ""
        if name in ID_REFERENCES:
            yield from text.split()
        elif name in {"href", "xlink:href"} and text.startswith("#"):
            yield text[1:]
        elif element.namespace == "svg":
            yield from re.findall(r"url\(#([^)]+)\)", text)


def check_names(page: _Page) -> Iterator[str]:
    """Controls, links and groups that a screen reader could not name; pictures without text."""
    for element in page.named(*INTERACTIVE, "fieldset"):
        nameless = _attr(element, "type") == "hidden" or element.namespace != "html"
        if not nameless and not page.name_of(element):
            yield f"{_called(element)} has no accessible name"
    for element in page.named("img"):
        if "alt" not in element.attrs:
            yield f"{_called(element)} {_attr(element, 'src')!r} has no alt"
    for element in page.named("svg"):
        around = list(_ancestors(element))
        if any(_unread(e) for e in [element, *around]) or any(e.name == "svg" for e in around):
            continue
        titled = any(isinstance(e, Element) and e.name == "title" for e in element.children)
        if not (titled or _attr(element, "aria-label") or _attr(element, "aria-labelledby")):
            yield f"{_called(element)} has neither a title nor aria-hidden"


def check_forms(page: _Page) -> Iterator[str]:
    """Forms that rely on defaults or lack the token; buttons without a type."""
    for form in page.named("form"):
        method = _attr(form, "method").lower()
        if not _attr(form, "action") or method not in {"get", "post"}:
            yield f"{_called(form)} lacks an action or a method"
        tokens = [e for e in _descendants(form) if _attr(e, "name") == "csrf_token"]
        if method == "post" and not any(_attr(e, "value") for e in tokens):
            yield f"{_called(form)} posts without a csrf_token"
    for button in page.named("button"):
        if _attr(button, "type") not in {"submit", "button", "reset"}:
            yield f"{_called(button)} {_spoken(button).strip()!r} has no type"


def check_tables(page: _Page) -> Iterator[str]:
    """Tables whose cells have no header, or headers that do not say what they head."""
    for table in page.named("table"):
        headers = [e for e in _descendants(table) if e.name == "th"]
        if not headers:
            yield f"{_called(table)} has no <th>"
        for header in headers:
            if _attr(header, "scope") not in {"col", "row", "colgroup", "rowgroup"}:
                yield f"<th> {_spoken(header).strip()!r} has no scope"


def check_policy(page: _Page) -> Iterator[str]:
    """What the browser would refuse under the policy header."""
    for element in page.elements:
        if element.name == "style" or (element.name == "script" and not _attr(element, "src")):
            yield f"inline <{element.name}>"
        for name in element.attrs:
            if name == "style" or name.startswith("on"):
                yield f"{_called(element)} has {name}="


def check_addresses(page: _Page) -> Iterator[str]:
    """Links, pictures, scripts and forms that lead away from this server."""
    for element in page.elements:
        addresses = [_attr(element, name) for name in ADDRESSES]
        addresses += [part.split()[0] for part in _attr(element, "srcset").split(",") if part]
        for address in filter(None, addresses):
            parts = urlsplit(address.replace("\\", "/"))
            kin = element.name == "a" and parts.scheme in {"tel", "mailto"}
            elsewhere = parts.scheme not in OWN_SCHEMES or parts.netloc not in {"", page.host}
            if elsewhere and not kin:
                yield f"{_called(element)} leads to {address[:80]!r}, not to this server"


def check_words(page: _Page) -> Iterator[str]:
    """Texts and drawings in which a missing value became a word."""
    for element in page.elements:
        if element.name in UNSPOKEN:
            continue
        texts = [str(c.data) for c in element.children or () if c.name == "#text"]
        for name, value in element.attrs.items():
            if name in SPOKEN_ATTRIBUTES or element.namespace == "svg":
                texts.append(value or "")
        for text in texts:
            if found := MISSING_VALUE.search(text):
                yield f"{_called(element)} shows {found[0]!r} in {text.strip()[:60]!r}"


CHECKS = (
    check_frame,
    check_headings,
    check_nesting,
    check_ids,
    check_names,
    check_forms,
    check_tables,
    check_policy,
    check_addresses,
    check_words,
)


class CheckedClient(FlaskClient):
    """A test client that raises AssertionError with all faults of the page it just fetched."""

    def open(self, *args: Any, **kwargs: Any) -> TestResponse:
        """Fetch as `FlaskClient.open` does; a redirect that is followed comes here again."""
        response = super().open(*args, **kwargs)
        if faults := faults_of(response):
            request = response.request
            title = f"{request.method} {request.url} answered {response.status_code}"
            raise AssertionError("\n  - ".join([f"{title}, a page with faults:", *faults]))
        return response


def faults_of(response: TestResponse) -> list[str]:
    """Return the faults of an answer: of its page when it is one, of its headers otherwise."""
    headers = dict(response.headers)
    is_page = response.mimetype == "text/html" and response.request.method != "HEAD"
    if not is_page or response.status_code in {204, 304}:
        return list(check_headers(headers))
    return check_page(response.request.url, response.status_code, headers, response.text)
