"""Hostile texts, and how to see that one of them did more than stand there as text.

The texts are of the kinds that the OWASP cheat sheets "Cross Site Scripting Prevention" and
"CSV Injection" name: a tag, a way out of an attribute, an address that runs, a template that is
worked out, a formula. Each says "planted" where it would show.
"""

import csv
import io
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from typing import Final
from urllib.parse import urlsplit
from xml.etree import ElementTree as ET

from werkzeug.test import TestResponse

WORD: Final = "planted"
# 271 x 4001: no page has this number by itself
WORKED_OUT: Final = str(271 * 4001)
TEXTS: Final = (
    f"<{WORD}>{{{{271*4001}}}}",
    f'"><{WORD} {WORD}="1',
    f"'><{WORD} {WORD}='1'>{{{{271*4001}}}}${{271*4001}}",
    f'" {WORD}="1" on{WORD}="1" x="{{{{271*4001}}}}',
    f"' {WORD}='1' x='",
    f"</textarea></title></script><{WORD}>",
    f"javascript:{WORD}()",
    f"={WORD}+1",
    f"&lt;{WORD}&gt;{{% raw %}}",
    f"--><{WORD}>%s%n{{0}}",
    f"\r\nEND:VEVENT\r\n{WORD}:1",
    f"\u202e{WORD}\U0001f420",
)
_ADDRESSES: Final = {"href", "src", "action", "formaction", "xlink:href", "data", "srcset"}
_PLAIN_NUMBER: Final = re.compile(r"[+-]?\d+([.,]\d+)?")
_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r")


def faults_of(answer: TestResponse) -> Iterator[str]:
    """Yield where hostile text in an answer became markup, an address, a result or a formula."""
    kind = answer.mimetype or ""
    if kind == "text/html":
        yield from in_html(answer.text)
    elif kind == "image/svg+xml":
        yield from in_drawing(answer.text)
    elif kind == "text/csv":
        yield from in_table(answer.text)
    elif kind == "text/calendar":
        yield from (f"a line {li!r}" for li in answer.text.splitlines() if li.startswith(WORD))


def in_html(html: str) -> Iterator[str]:
    """Yield what hostile text became on a page."""
    if WORKED_OUT in html:
        yield f"{WORKED_OUT}: a template in a text was worked out"
    if WORD in html or "//" in html:
        reader = _Reader()
        reader.feed(html)
        reader.close()
        yield from reader.faults


class _Reader(HTMLParser):
    """Reads tags as a browser does, and notes what came from a hostile text."""

    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.faults: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if WORD in tag:
            self.faults.append(f"the tag <{tag}>")
        for name, value in attrs:
            if WORD in name or name.startswith("on"):
                self.faults.append(f"the attribute {name} of <{tag}>")
            if name in _ADDRESSES and re.sub(r"[\s\0]", "", value or "").lower().startswith(
                ("javascript:", "data:", "vbscript:")
            ):
                self.faults.append(f"the address {value!r} of <{tag}>")
            if name in _ADDRESSES and _leads_away(value or ""):
                self.faults.append(f"<{tag}> leads away to {value!r}")


def _leads_away(address: str) -> bool:
    """Whether an address is of another host; browsers take a backslash for a slash."""
    try:
        return urlsplit(address.strip().replace("\\", "/")).netloc not in {"", "localhost"}
    except ValueError:
        return True


def in_drawing(svg: str) -> Iterator[str]:
    """Yield what hostile text became in a drawing, which has to parse as XML."""
    try:
        root = ET.fromstring(svg)
    except ET.ParseError as error:
        yield f"no XML: {error}"
        return
    for element in root.iter():
        tag = str(element.tag).rpartition("}")[2]
        if tag in {WORD, "script", "foreignObject", "iframe", "image"}:
            yield f"the element <{tag}>"
        for name in element.attrib:
            if WORD in name or name.startswith("on"):
                yield f"the attribute {name} of <{tag}>"


def in_table(text: str) -> Iterator[str]:
    """Yield cells of a CSV file that a spreadsheet would work out."""
    for row in csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline="")):
        for cell in row:
            if cell.startswith(_FORMULA) and not _PLAIN_NUMBER.fullmatch(cell):
                yield f"the cell {cell!r}"
