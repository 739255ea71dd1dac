"""The browser fixtures find what they are there to find."""

from collections.abc import Callable

import pytest
from flask import Flask, Response
from playwright.sync_api import Browser, Page

from tests.browser.watching import Watch
from tests.browser.windows import OpenPage

JS = "text/javascript"
HEAD = '<!doctype html><html lang="en"><head><meta charset="utf-8"><title>Tank</title></head>'
BODIES = {
    "/": "<main><h1>Tank</h1><script src='/more.js'></script></main>",
    "/says": "<h1>Tank</h1><script>console.log('hello')</script>",
    "/breaks": "<h1>Tank</h1><script>nothing.here()</script>",
    "/asks": '<h1>Tank</h1><img alt="" src="http://tank.invalid/a.png">',
    "/barrier": '<main><h1>Tank</h1><input name="warm"></main>',
}


@pytest.fixture
def address(serve: Callable[[Flask], str]) -> str:
    app = Flask(__name__, static_folder=None)
    for path, body in BODIES.items():
        html = f"{HEAD}<body>{body}</body></html>"
        app.add_url_rule(path, endpoint=path, view_func=lambda html=html: html)
    more = "document.querySelector('h1').textContent = 'Tank and script'"
    app.add_url_rule("/more.js", endpoint="script", view_func=lambda: Response(more, mimetype=JS))
    app.add_url_rule("/favicon.ico", endpoint="icon", view_func=lambda: ("", 204))
    return serve(app)


def faults(browser: Browser, address: str, path: str) -> list[str]:
    context = browser.new_context()
    watch = Watch(context, address)
    context.new_page().goto(address + path, wait_until="networkidle")
    context.close()
    return watch.faults


def test_a_calm_page_has_no_faults(browser: Browser, address: str) -> None:
    assert faults(browser, address, "/") == []


@pytest.mark.parametrize(
    ("path", "told"),
    [
        ("/says", "console log: hello"),
        ("/breaks", "script error: nothing is not defined"),
        ("/asks", "request to another host: http://tank.invalid/a.png"),
    ],
)
def test_a_planted_fault_is_found(browser: Browser, address: str, path: str, told: str) -> None:
    assert told in faults(browser, address, path)


def test_axe_finds_a_planted_barrier(
    open_page: OpenPage, address: str, axe: Callable[[Page], list[str]]
) -> None:
    assert axe(open_page(address + "/")) == []
    (found,) = axe(open_page(address + "/barrier"))
    assert found.startswith("label (critical)")


def test_pages_open_narrow_and_without_script(open_page: OpenPage, address: str) -> None:
    page = open_page(address + "/", width=320, javascript=False)
    assert page.locator("h1").inner_text() == "Tank"
    assert page.viewport_size == {"width": 320, "height": 900}
    assert open_page(address + "/").locator("h1").inner_text() == "Tank and script"


def test_the_dark_scheme_reaches_the_page(open_page: OpenPage, address: str) -> None:
    asked = "matchMedia('(prefers-color-scheme: dark)').matches"
    assert open_page(address + "/", color_scheme="dark").evaluate(asked) is True
    assert open_page(address + "/").evaluate(asked) is False
