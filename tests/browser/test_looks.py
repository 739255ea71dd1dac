"""Each way of looking at a page finds the fault that is planted for it, and none on a good page."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.looks import faults_of

PAGE = """<!doctype html><html lang="en"><head><title>Tank</title>
<meta name="viewport" content="width=device-width, initial-scale=1"><style>
body {{ background: #fff; color: #000; }} .bar {{ position: fixed; inset: auto 0 0; height: 70%; }}
.save-bar {{ background: #eee; }} {css}</style></head>
<body><main><h1>Tank</h1>{body}</main></body></html>"""
LINKS = "".join(f'<p><a href="#{each}">Link {each}</a></p>' for each in range(60))
# sheet, body, what has to be said
PLANTED = {
    "narrow": (".wide { width: 400px; }", '<p class="wide">A</p>', "320 px: "),
    "wide": (".wider { width: 1400px; }", '<p class="wider">A</p>', "1280 px: 1"),
    "spaced": (
        ".tight { overflow: hidden; width: max-content; max-width: 6em; white-space: nowrap; }",
        '<p class="tight">Ammonia is</p>',
        "more space: tight cuts its text off",
    ),
    "behind": ("", f'{LINKS}<div class="save-bar bar">Save</div>', "320 px: behind the bar: "),
    "nameless": ("", '<p class="x">Hm</p><input>', "label (critical)"),
    "pale": (
        ".pale { color: #bbb; }",
        '<p class="pale">All calm</p>',
        "light screen: color-contrast",
    ),
    "dark": (
        "@media (prefers-color-scheme: dark) { .dim { color: #bbb; } }",
        '<p class="dim">All calm</p>',
        "dark screen: color-contrast",
    ),
    "print": (
        "@media print { .ink { color: #bbb; } }",
        '<p class="ink">All calm</p>',
        "light print: color-contrast",
    ),
}


@pytest.fixture(scope="module")
def window(browser: Browser) -> Iterator[Page]:
    page = browser.new_page()
    yield page
    page.close()


def test_a_good_page_has_no_faults(window: Page) -> None:
    window.set_content(PAGE.format(css="", body="<p>All calm</p>"))
    assert list(faults_of(window)) == []


@pytest.mark.parametrize("name", PLANTED)
def test_a_planted_fault_is_found(window: Page, name: str) -> None:
    css, body, told = PLANTED[name]
    window.set_content(PAGE.format(css=css, body=body))
    found = list(faults_of(window))
    assert any(fault.startswith(told) for fault in found), found
