"""The second row of the menu: where its places need two lines, none stands there alone."""

from collections import Counter

import pytest
from playwright.sync_api import Browser

from app import resources
from app.web.navigation import _MORE

LINKS = "\n".join(f'<li><a href="#">{label}</a></li>' for label, *_ in _MORE)
SHEETS = ("values", "base", "shell")


@pytest.mark.parametrize("width", [768, 1024, 1280, 1440])
def test_lines_of_the_menu_are_about_as_long(browser: Browser, width: int) -> None:
    css = "".join(
        (resources.static() / "css" / f"{name}.css").read_text(encoding="utf-8") for name in SHEETS
    )
    page = browser.new_page(viewport={"width": width, "height": 600})
    page.set_content(
        f"<!doctype html><style>{css}</style><body><header class='sill sill-adult'>"
        f"<nav class='nav-more'><ul>{LINKS}</ul></nav></header>"
    )
    tops = page.eval_on_selector_all(
        ".nav-more li", "all => all.map(each => each.getBoundingClientRect().top)"
    )
    page.close()

    lines = Counter(tops).values()
    assert len(lines) <= 2
    assert max(lines) - min(lines) <= 2
