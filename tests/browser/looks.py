"""Ways of looking at a page: small, wide, zoomed, with more space, in the dark and on paper."""

import os
from collections.abc import Iterator
from typing import Any

from playwright.sync_api import Page, ViewportSize

from tests.browser.watching import ALL_BUT_COLORS, ONLY_COLORS, violations

HEAVY = os.environ.get("SILLPOND_HEAVY") == "1"
NARROW: ViewportSize = {"width": 320, "height": 900}
WIDE: ViewportSize = {"width": 1280, "height": 900}
# a window of 1280 by 1024 px at a zoom of 400 %
ZOOMED: ViewportSize = {"width": 320, "height": 256}
LIGHT: dict[str, Any] = {"color_scheme": "light", "media": "screen"}
DARK: dict[str, Any] = {"color_scheme": "dark", "media": "screen"}
PAPER: dict[str, Any] = {"color_scheme": "light", "media": "print"}
COLORS = (LIGHT, DARK, PAPER)

_FITS = """() => {
  const { scrollWidth, clientWidth } = document.documentElement;
  return scrollWidth > clientWidth ? [`${scrollWidth} px wide`] : [];
}"""
# WCAG 2.2, 1.4.12: nothing is lost when a reader sets these, neither beside the page nor in a box
_FITS_SPACED = """() => {
  const sheet = new CSSStyleSheet();
  sheet.replaceSync(`* { line-height: 1.5 !important; letter-spacing: .12em !important;
    word-spacing: .16em !important; } p { margin-bottom: 2em !important; }`);
  document.adoptedStyleSheets = [sheet];
  const { scrollWidth, clientWidth } = document.documentElement;
  const faults = scrollWidth > clientWidth ? [`${scrollWidth} px wide`] : [];
  for (const each of document.querySelectorAll("main *, header *, footer *")) {
    const style = getComputedStyle(each);
    if (style.clipPath === "none" && /hidden|clip/.test(style.overflow)
      && !each.closest(".hidden, svg") && each.textContent.trim()
      && (each.scrollWidth > each.clientWidth + 1 || each.scrollHeight > each.clientHeight + 1)
    ) faults.push(`${each.className || each.tagName} cuts its text off`);
  }
  document.adoptedStyleSheets = [];
  return faults;
}"""
# WCAG 2.2, 2.4.11: what has the focus is not behind the bar that stays at the lower edge
_BEHIND_THE_BAR = """() => {
  const bar = document.querySelector(".save-bar");
  if (!bar) return null;
  const all = document.querySelectorAll(
    "main a[href], main button, main input:not([type=hidden]), main select, main textarea,"
    + " summary");
  return [...all].filter(each => {
    if (bar.contains(each) || each.closest(".hidden") || each.tabIndex < 0) return false;
    each.focus();
    if (document.activeElement !== each) return false;
    const { top, bottom, height } = each.getBoundingClientRect();
    const over = bar.getBoundingClientRect();
    return height > 0 && (top >= over.top - 1 && bottom <= over.bottom + 1 || bottom <= 0);
  }).map(each => `behind the bar: ${each.id || each.textContent.trim().slice(0, 40) || each.name}`);
}"""
# texts and fields that no page before had, told apart by their tags, their classes and the classes
# around them: colors follow from these
_FIND_NEW_PARTS = """() => {
  const known = window.knownParts ??= new Set();
  const says = each => each.matches("input, select, textarea")
    || [...each.childNodes].some(part => part.nodeType === Node.TEXT_NODE && part.data.trim());
  const called = each => {
    let name = each.tagName;
    for (let part = each; part; part = part.parentElement)
      if (part.hasAttribute("class")) name += ` < ${part.getAttribute("class")}`;
    return name;
  };
  window.newParts = [...document.body.querySelectorAll("*")].filter(each => {
    const name = says(each) && called(each);
    return name && !known.has(name) && known.add(name);
  });
  return newParts.length;
}"""


def faults_of(page: Page) -> Iterator[str]:
    """Look at the page in all sizes and colors; yield what is wrong.

    Colors are looked at where parts are new in this window. With SILLPOND_HEAVY=1 all is looked at
    by all rules in all colors, wide too.
    """
    looks = [(NARROW, _narrow), (WIDE, _wide)]
    if page.viewport_size == WIDE:  # left so by the page before: one change of size less
        looks.reverse()
    for size, look in looks:
        page.set_viewport_size(size)
        yield from look(page)


def _narrow(page: Page) -> Iterator[str]:
    yield from _told("320 px", page.evaluate(_FITS))
    yield from _told("more space", page.evaluate(_FITS_SPACED))
    behind = page.evaluate(_BEHIND_THE_BAR)
    if behind is not None:
        yield from _told("320 px", behind)
        page.set_viewport_size(ZOOMED)
        yield from _told("400 %", page.evaluate(_BEHIND_THE_BAR))
        page.set_viewport_size(NARROW)
    if not HEAVY:
        yield from violations(page, ALL_BUT_COLORS)
    if HEAVY or page.evaluate(_FIND_NEW_PARTS):
        for way in COLORS:
            page.emulate_media(**way)
            yield from _told(" ".join(way.values()), _violations_of_colors(page))
        page.emulate_media(**LIGHT)


def _wide(page: Page) -> Iterator[str]:
    yield from _told("1280 px", page.evaluate(_FITS))
    if HEAVY:
        yield from _told("1280 px", violations(page))


def _violations_of_colors(page: Page) -> list[str]:
    return violations(page) if HEAVY else violations(page, ONLY_COLORS, "{ include: newParts }")


def _told(way: str, faults: list[str]) -> Iterator[str]:
    yield from (f"{way}: {each}" for each in faults)
