"""The tags of a page as they are written: what a forgiving parser would silently put right."""

from collections import Counter
from collections.abc import Iterator
from html.parser import HTMLParser

VOID = {
    "area", "base", "br", "col", "embed", "hr", "img", "input", "link", "meta", "source", "wbr",
}  # fmt: skip


def unbalanced_tags(html: str) -> Iterator[str]:
    """Yield what is never closed, closed out of turn, nested in itself or said twice."""
    tags = _Tags()
    tags.feed(html)
    tags.close()
    yield from tags.faults
    for name, line in tags.open_tags:
        yield f"<{name}> of line {line} is never closed"


class _Tags(HTMLParser):
    """Balances the tags as they are written; the house style closes every element."""

    def __init__(self) -> None:
        super().__init__()
        self.open_tags: list[tuple[str, int]] = []
        self.faults: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._look_at_attributes(tag, attrs)
        if tag in VOID:
            return
        if tag in {"form", "a", "button", "label"} and tag in {name for name, _ in self.open_tags}:
            self.faults.append(f"<{tag}> within <{tag}> in line {self.getpos()[0]}")
        self.open_tags.append((tag, self.getpos()[0]))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self._look_at_attributes(tag, attrs)
        in_drawing = tag == "svg" or "svg" in {name for name, _ in self.open_tags}
        if tag not in VOID and not in_drawing:
            self.faults.append(f"<{tag}/> does not close itself, line {self.getpos()[0]}")

    def handle_endtag(self, tag: str) -> None:
        if self.open_tags and self.open_tags[-1][0] == tag:
            self.open_tags.pop()
        else:
            inner = self.open_tags[-1][0] if self.open_tags else "nothing"
            self.faults.append(f"</{tag}> in line {self.getpos()[0]}, but open is {inner}")
            while self.open_tags and tag in {name for name, _ in self.open_tags}:
                if self.open_tags.pop()[0] == tag:
                    break

    def _look_at_attributes(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, times in Counter(name for name, _ in attrs).items():
            if times > 1:
                self.faults.append(f"<{tag}> has {name} twice, line {self.getpos()[0]}")
