"""Two ways to work with a page: a finger whose taps are counted, and a keyboard alone."""

from dataclasses import dataclass
from typing import Protocol

from playwright.sync_api import Locator, Page

# WCAG 2.2, 2.5.8 asks for 24 px; fingers of eight-year-olds are given more
LEAST_TARGET = 44
# no page is so long that this many steps lead nowhere, unless the focus is caught in it
MOST_TABS = 150
# WCAG 2.2, 2.4.7 and 2.4.11: what has the focus is marked, and not hidden behind another part
FOCUS_FAULT = """() => {
  const each = document.activeElement;
  if (!each || each === document.body) return "";
  const box = (each.closest("label") ?? each).getBoundingClientRect();
  const near = [each, each.nextElementSibling, each.closest("label")].filter(Boolean);
  const ringed = near.map(part => getComputedStyle(part)).some(style =>
    !["none", "auto"].includes(style.outlineStyle) && parseFloat(style.outlineWidth) >= 2);
  const bar = document.querySelector(".save-bar");
  const over = bar && !bar.contains(each) ? bar.getBoundingClientRect() : null;
  const name = `${each.tagName} ${each.name || each.textContent.trim().slice(0, 40)}`;
  if (!ringed) return `${name}: nothing shows the focus`;
  if (box.bottom <= 0 || box.top >= innerHeight) return `${name}: the focus is out of sight`;
  if (over && box.top >= over.top - 1 && box.bottom <= over.bottom + 1) return `${name}: hidden`;
  return "";
}"""
# a group of choices has one place in the order of Tab: arrows go on inside it
NEXT_KEY = """each => {
  const now = document.activeElement;
  if (now === each) return "";
  return each.type === "radio" && now.type === "radio" && now.name === each.name
    ? "ArrowDown" : "Tab";
}"""


class Hand(Protocol):
    """What does a job on a page; `taps` counts what a finger would have to tap."""

    page: Page
    taps: int

    def press(self, target: Locator) -> None:
        """Use a link, a button or a choice."""

    def write(self, field: Locator, text: str) -> None:
        """Put digits into a field that has the focus of the number keys, or gets it."""


@dataclass
class Finger:
    """A finger on a touch screen."""

    page: Page
    taps: int = 0

    def press(self, target: Locator) -> None:
        """Tap on something that is large enough to be hit."""
        box = target.bounding_box()
        assert box is not None
        assert min(box["width"], box["height"]) >= LEAST_TARGET, (str(target), box)
        target.tap()
        self.taps += 1

    def write(self, field: Locator, text: str) -> None:
        """Tap the number keys of the page, which write into the field they are for at first."""
        pad, key = self.page.locator(".keypad").first, field.get_attribute("id")
        if pad.get_attribute("data-target") != key:
            self.press(field)
        for digit in text:
            self.press(pad.locator(f'[data-key="{digit}"]'))


@dataclass
class Keyboard:
    """A keyboard and no other device: Tab, arrows, Enter, the space bar, digits."""

    page: Page
    taps: int = 0

    def press(self, target: Locator) -> None:
        """Go on with Tab until the target has the focus, then press it as its kind is pressed."""
        kind = (target.get_attribute("type") or "").lower()
        self._go_to(target)
        if kind not in {"radio", "checkbox"}:
            self.page.keyboard.press("Enter")
        elif not target.is_checked():
            self.page.keyboard.press("Space")
        self.taps += 1

    def write(self, field: Locator, text: str) -> None:
        """Go to the field and type."""
        self._go_to(field)
        self.page.keyboard.type(text)
        self.taps += len(text)

    def _go_to(self, target: Locator) -> None:
        element = target.element_handle()
        assert element is not None
        for _ in range(MOST_TABS):
            key = self.page.evaluate(NEXT_KEY, element)
            if not key:
                return
            self.page.keyboard.press(key)
            fault = self.page.evaluate(FOCUS_FAULT)
            assert fault == "", f"{self.page.url}: {fault}"
        raise AssertionError(f"no key leads to {target}")
