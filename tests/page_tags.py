"""The tags of a page as they are written: what a forgiving parser would silently put right."""

import re
from collections import Counter
from collections.abc import Iterator

VOID = {
    "area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "wbr",
}  # fmt: skip
ONCE = {"form", "a", "button", "label"}
RAW = {"script", "style"}
_VALUE = r""""[^"]*+"|'[^']*+'"""
_TAG = re.compile(
    rf"<!--.*?-->|<(/?)([a-z][^\s/>]*+)((?:[^\"'>]++|{_VALUE})*+)>", re.IGNORECASE | re.DOTALL
)
_ATTRIBUTE = re.compile(rf"([^\s\"'=/]++)(?:\s*+=\s*+(?:{_VALUE}|[^\s\"']++))?")


def unbalanced_tags(html: str) -> Iterator[str]:
    """Yield what is never closed, closed out of turn, nested in itself or said twice."""
    tags = _Tags(html)
    tags.read()
    yield from tags.faults
    for name, at in tags.open_tags:
        yield f"<{name}> of line {tags.line(at)} is never closed"


class _Tags:
    """Balances the tags as they are written; the house style closes every element."""

    def __init__(self, html: str) -> None:
        self.html = html
        self.open_tags: list[tuple[str, int]] = []
        self.faults: list[str] = []

    def line(self, at: int) -> int:
        """The line in which a place lies, from 1."""
        return self.html.count("\n", 0, at) + 1

    def read(self) -> None:
        """Read all tags in their order; what stands in a script or a sheet is none."""
        at = 0
        while found := _TAG.search(self.html, at):
            at = found.end()
            slash, name, attributes = found.groups("")
            tag = name.lower()
            if slash:
                self._end(tag, found.start())
            elif tag:
                self._look_at_attributes(tag, attributes, found.start())
                self._start(tag, found.start(), closed=attributes.endswith("/"))
                if tag in RAW:
                    end = re.compile(rf"</{tag}\b|\Z", re.IGNORECASE).search(self.html, at)
                    at = end.start() if end else len(self.html)

    def _start(self, tag: str, at: int, *, closed: bool) -> None:
        if tag in VOID:
            return
        inside = {name for name, _ in self.open_tags} if closed or tag in ONCE else set()
        if closed:
            if tag != "svg" and "svg" not in inside:
                self.faults.append(f"<{tag}/> does not close itself, line {self.line(at)}")
            return
        if tag in inside:
            self.faults.append(f"<{tag}> within <{tag}> in line {self.line(at)}")
        self.open_tags.append((tag, at))

    def _end(self, tag: str, at: int) -> None:
        if self.open_tags and self.open_tags[-1][0] == tag:
            self.open_tags.pop()
            return
        inner = self.open_tags[-1][0] if self.open_tags else "nothing"
        self.faults.append(f"</{tag}> in line {self.line(at)}, but open is {inner}")
        while self.open_tags and tag in {name for name, _ in self.open_tags}:
            if self.open_tags.pop()[0] == tag:
                break

    def _look_at_attributes(self, tag: str, attributes: str, at: int) -> None:
        names = [name.lower() for name in _ATTRIBUTE.findall(attributes)]
        if len(names) == len(set(names)):
            return
        for name, times in Counter(names).items():
            if times > 1:
                self.faults.append(f"<{tag}> has {name} twice, line {self.line(at)}")
