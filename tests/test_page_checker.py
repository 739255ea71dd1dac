"""The page checker passes a good page and finds every fault that is planted in it."""

import pytest
from flask import Flask, Response, redirect

from tests.page_checker import MAX_PAGE_BYTES, CheckedClient, check_page

HEADERS = {
    "Content-Type": "text/html; charset=utf-8",
    "Content-Security-Policy": "default-src 'none'; style-src 'self'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
}
GOOD = """<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Today – Sillpond</title>
<link rel="stylesheet" href="/static/site.css">
<script src="/static/keypad.js" defer></script>
</head>
<body>
<a href="#main">Go to the page</a>
<main id="main">
<h1>Reed tank</h1>
<h2>First</h2>
<p>Nobody has <em>looked</em>.</p>
<svg viewBox="0 0 1 1" aria-hidden="true"><path d="M0 0"/></svg>
<svg viewBox="0 0 1 1" role="img"><title>Half full</title><path d="M0 0"/></svg>
<img src="/static/tank.png" alt="">
<form action="/feed" method="post">
<input type="hidden" name="csrf_token" value="abc">
<label for="warm">Temperature</label>
<input id="warm" name="warm" aria-describedby="warm-hint">
<p id="warm-hint">In °C</p>
<fieldset><legend>Seen</legend>
<label><input type="checkbox" name="lid"> The lid is on</label></fieldset>
<label>Food <select name="food"><option value="none">nothing</option></select></label>
<button type="submit">Save</button>
</form>
<table>
<thead><tr><th scope="col">When</th><th scope="col">pH</th></tr></thead>
<tbody><tr><th scope="row">Monday</th><td>7.2</td></tr></tbody>
</table>
<ul><li><a href="http://localhost/story">Story</a></li></ul>
</main>
</body>
</html>
"""


def faults(html: str, **headers: str) -> list[str]:
    return check_page("http://localhost/today", 200, HEADERS | headers, html)


def test_a_good_page_passes() -> None:
    assert faults(GOOD) == []


# what is taken out of the good page, what comes in its place, what must be said
PLANTED = {
    "stray end tag": ("<h2>First</h2>", "<h2>First</h2></div>", "parse error"),
    "end tag of another element": ("<em>looked</em>", "<em>looked</i>", "</i> in line"),
    "never closed": ("<h2>First</h2>", "<div><h2>First</h2>", "</main>"),
    "closed by a slash": ("<h2>First</h2>", "<h2>First</h2><div/>", "<div/> does not close"),
    "attribute twice": ('name="warm"', 'name="warm" name="cold"', "<input> has name twice"),
    "form in form": ("</form>", '<form action="/" method="get"></form></form>', "<form> within"),
    "no doctype": ("<!doctype html>\n", "", "no <!doctype html>"),
    "no language": (' lang="en"', "", "no lang"),
    "no title": ("<title>Today – Sillpond</title>", "", "0 <title> elements"),
    "empty title": ("Today – Sillpond", " ", "<title> is empty"),
    "two titles": ("</head>", "<title>Again</title></head>", "2 <title> elements"),
    "no viewport": ('name="viewport"', 'name="color-scheme"', "no viewport"),
    "no main part": ('<main id="main">', '<div id="main">', "0 <main> elements"),
    "no first-level heading": ("h1>", "h2>", "0 <h1> elements"),
    "two first-level headings": ("h2>", "h1>", "2 <h1> elements"),
    "level left out": ("h2>", "h3>", "level 3 follows level 1"),
    "lower heading comes first": ("<h1>Reed", "<h2>x</h2><h1>Reed", "level 2 follows level 0"),
    "empty heading": ("<h2>First</h2>", "<h2> </h2>", "<h2> is empty"),
    "block in running text": ("<em>looked</em>", "<div>looked</div>", "parse error"),
    "block in a button": ("Save", "<div>Save</div>", "may not stand in <button"),
    "link in a button": ("Save", '<a href="/x">Save</a>', "may not stand in <button"),
    "list child": ("<ul>", "<ul><p>x</p>", "child of a list"),
    "description list child": ("<h2>First", "<dl><p>x</p></dl><h2>First", "child of <dl>"),
    "duplicate id": ("<h2>", '<h2 id="warm">', "id 'warm' is there 2 times"),
    "id with a space": ("<h2>", '<h2 id="a b">', "id 'a b'"),
    "label for nothing": ('for="warm"', 'for="cold"', "#cold"),
    "described by nothing": ('describedby="warm-hint"', 'describedby="gone"', "#gone"),
    "labelled by nothing": ("<main", '<main aria-labelledby="gone"', "#gone"),
    "link to nothing": ('href="#main"', 'href="#gone"', "#gone"),
    "link to an empty target": ('href="#main"', 'href="#"', "points at #,"),
    "drawing refers to nothing": ('d="M0 0"', 'fill="url(#gone)"', "#gone"),
    "control without label": ('<label for="warm">Temperature</label>', "", "no accessible name"),
    "label without words": (">Temperature<", "> <", "no accessible name"),
    "select named by its options only": ("<label>Food ", "<label>", "no accessible name"),
    "group without legend": ("<legend>Seen</legend>", "", "<fieldset> has no accessible name"),
    "link without words": (">Story</a>", "></a>", "no accessible name"),
    "button without words": ("Save", "", "no accessible name"),
    "submit input without value": ("Save</button>", 'Save</button><input type="submit">', "no acc"),
    "picture without alt": (' alt=""', "", "has no alt"),
    "drawing without title": ("<title>Half full</title>", "", "neither a title nor aria-hidden"),
    "post without token": ('name="csrf_token"', 'name="other"', "without a csrf_token"),
    "post with empty token": ('value="abc"', 'value=""', "without a csrf_token"),
    "form without action": (' action="/feed"', "", "lacks an action or a method"),
    "form without method": (' method="post"', "", "lacks an action or a method"),
    "button without type": (' type="submit"', "", "has no type"),
    "table without headers": (' scope="col"', "", "has no scope"),
    "row header without scope": (' scope="row"', "", "<th> 'Monday' has no scope"),
    "table of plain cells": (
        "<ul>",
        "<table><tbody><tr><td>1</td></tr></tbody></table><ul>",
        "<table> has no <th>",
    ),
    "inline style": ("<h2>", '<h2 style="color:red">', "has style="),
    "style in a drawing": ("<path ", '<path style="fill:red" ', "has style="),
    "style element": ("</head>", "<style>p{}</style></head>", "inline <style>"),
    "inline script": ("</head>", "<script>let a</script></head>", "inline <script>"),
    "event attribute": ("<h2>", '<h2 onclick="go()">', "has onclick="),
    "link to another host": (
        'href="http://localhost/story"',
        'href="http://example.org/"',
        "leads",
    ),
    "link without scheme": ('href="http://localhost/story"', 'href="//example.org/"', "leads to"),
    "picture of another host": ("/static/tank.png", "https://example.org/t.png", "leads to"),
    "source set of another host": ('alt=""', 'alt="" srcset="/a 1x, //example.org/b 2x"', "leads"),
    "script link": ('href="http://localhost/story"', 'href="javascript:go()"', "leads to"),
    "embedded picture": ("/static/tank.png", "data:image/png;base64,AA", "leads to"),
    "None shown": ("<td>7.2</td>", "<td>None</td>", "shows 'None'"),
    "nan shown": ("7.2", "nan mg/L", "shows 'nan'"),
    "undefined shown": ("7.2", "Undefined", "shows 'Undefined'"),
    "object shown": ("7.2", "&lt;Tank object at 0x7f&gt;", "shows 'object at 0x'"),
    "None in a field": ('value="abc"', 'value="None"', "shows 'None'"),
    "nan in a drawing": ('d="M0 0"', 'd="M0 nan"', "shows 'nan'"),
}


@pytest.mark.parametrize(("old", "new", "told"), PLANTED.values(), ids=PLANTED)
def test_a_planted_fault_is_found(old: str, new: str, told: str) -> None:
    assert old in GOOD
    found = faults(GOOD.replace(old, new))
    assert any(told in fault for fault in found), found


def test_a_word_that_only_contains_a_missing_value_is_fine() -> None:
    assert faults(GOOD.replace("7.2", "Nonesuch and banana, nothing, none")) == []


def test_telephone_numbers_are_links_within_reason() -> None:
    assert faults(GOOD.replace('href="http://localhost/story"', 'href="tel:5550100"')) == []


@pytest.mark.parametrize(("over", "number"), [(0, 0), (1, 1)])
def test_a_page_may_have_60_kb_and_not_one_byte_more(over: int, number: int) -> None:
    room = MAX_PAGE_BYTES - len(GOOD.encode()) + over
    assert len(faults(GOOD.replace("Reed tank", "Reed tank" + "x" * room))) == number


@pytest.mark.parametrize(
    ("header", "value"),
    [
        ("Content-Security-Policy", "default-src 'self'"),
        ("X-Content-Type-Options", ""),
        ("Referrer-Policy", ""),
        ("Content-Type", "text/html"),
    ],
)
def test_a_missing_header_is_found(header: str, value: str) -> None:
    found = faults(GOOD, **{header: value})
    assert len(found) == 1
    assert header in found[0]


def small_app() -> Flask:
    app = Flask(__name__)
    app.test_client_class = CheckedClient
    app.add_url_rule("/good", view_func=lambda: GOOD, endpoint="good")
    app.add_url_rule("/bad", view_func=lambda: GOOD.replace("h1>", "h2>"), endpoint="bad")
    app.add_url_rule("/to-bad", view_func=lambda: redirect("/bad", 303), endpoint="to-bad")
    app.add_url_rule("/file", view_func=lambda: Response("a,b", mimetype="text/csv"))

    @app.after_request
    def put_headers(response: Response) -> Response:
        if response.mimetype == "text/html":
            response.headers.update(HEADERS)
        return response

    return app


def test_the_client_hands_on_a_good_page() -> None:
    assert small_app().test_client().get("/good").status_code == 200


def test_the_client_refuses_a_faulty_page_and_names_it() -> None:
    with pytest.raises(AssertionError, match="GET http://localhost/bad answered 200") as told:
        small_app().test_client().get("/bad")
    assert "0 <h1> elements" in str(told.value)


def test_the_client_reads_the_page_behind_a_redirect_that_it_follows() -> None:
    client = small_app().test_client()
    assert client.get("/to-bad").status_code == 303
    with pytest.raises(AssertionError, match="0 <h1> elements"):
        client.get("/to-bad", follow_redirects=True)


def test_the_client_reads_error_pages() -> None:
    with pytest.raises(AssertionError, match="answered 404"):
        small_app().test_client().get("/nowhere")


def test_the_client_looks_at_the_headers_of_files() -> None:
    with pytest.raises(AssertionError, match="no Referrer-Policy header"):
        small_app().test_client().get("/file")
