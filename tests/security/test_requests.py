"""What is asked under a false name, from another site, to lead elsewhere, or too large."""

import json
from urllib.parse import quote

import pytest
from werkzeug.test import TestResponse

from tests.security import planted
from tests.security.house import KEEPERS_PASSPHRASE, House
from tests.web.every_address import address_of
from tests.web.stories.browsing import Form, Page

FORM = "application/x-www-form-urlencoded"


def feed_form(home: House) -> Form:
    client = home.callers["keeper"].client
    return Page(client, client.get("/tank/1/feed")).form()


def fed(home: House, **headers: str) -> TestResponse:
    named = {name.replace("_", "-"): value for name, value in headers.items()}
    form = feed_form(home)
    return home.callers["keeper"].client.post(form.action, data=form.pairs(), headers=named)


# from another site


@pytest.mark.parametrize(
    "origin",
    ["http://elsewhere.example", "https://localhost.elsewhere.example", "http://[", "file://",
     "http://localhost@elsewhere.example", "http://elsewhere.example:80/localhost", "x"],
)  # fmt: skip
def test_a_form_that_another_site_sends_is_refused_though_it_has_the_token(
    home: House, origin: str
) -> None:
    assert fed(home, Origin=origin).status_code == 403


@pytest.mark.parametrize(
    "headers",
    [{}, {"Origin": "http://localhost"}, {"Origin": "http://localhost:8760"}, {"Origin": "null"},
     {"Origin": "https://localhost", "Sec_Fetch_Site": "same-origin"}, {"Sec_Fetch_Site": "none"}],
)  # fmt: skip
def test_a_form_of_ones_own_page_is_taken(home: House, headers: dict[str, str]) -> None:
    assert fed(home, **headers).status_code == 303


def test_a_form_sent_across_sites_is_refused_though_it_has_the_token(home: House) -> None:
    assert fed(home, Sec_Fetch_Site="cross-site").status_code == 403


def test_the_token_of_another_browser_does_not_count(home: House) -> None:
    form = feed_form(home)
    technician = home.callers["technician"].client
    technician.get("/me")
    assert technician.post(form.action, data=form.pairs()).status_code == 400


def test_nothing_changes_by_looking(home: House) -> None:
    """Every address that takes a post only, asked for with a look instead."""
    client = home.callers["keeper"].client
    asked = 0
    for rule in home.app.url_map.iter_rules():
        if "GET" not in (rule.methods or ()) and not rule.rule.startswith("/v/"):
            answer = client.get(address_of(home.app, rule, row=1))
            assert answer.status_code in {200, 401, 404, 405}, rule.rule
            asked += 1
    assert asked > 40
    assert home.changes() == []


# under a false name


@pytest.mark.parametrize(
    "host",
    ["elsewhere.example", "localhost.elsewhere.example", "localhost@elsewhere.example", "",
     "elsewhere.example:80", "localhost elsewhere.example", "[::1", "local\u017fost"],
)  # fmt: skip
@pytest.mark.parametrize("address", ["/", "/tank/1/", "/join", "/nowhere", "/static/icon.svg"])
def test_a_foreign_name_gets_no_page(home: House, host: str, address: str) -> None:
    name = host.encode().decode("latin-1")
    answer = home.callers["keeper"].client.get(address, headers={"Host": name}, buffered=True)
    assert answer.status_code == 400, answer.text
    assert "Sillpond" not in answer.text
    assert "elsewhere" not in str(answer.headers)


def test_an_address_in_the_request_line_leads_nowhere_else(home: House) -> None:
    client = home.callers["keeper"].client
    answer = client.get("/", headers={"X-Forwarded-Host": "elsewhere.example"})
    assert answer.location == "/tank/1/"


# to lead elsewhere

AWAY = (
    "//elsewhere.example/", "/\\elsewhere.example", "/\t/elsewhere.example",
    "https://elsewhere.example/", "javascript:alert(1)", "\\\\elsewhere.example", "%2f%2felsewhere",
)  # fmt: skip
ASKS = ("next", "from", "back", "url", "return", "to", "saved", "tank", "then")


@pytest.mark.parametrize("away", AWAY)
def test_no_redirect_leads_away(home: House, away: str) -> None:
    client = home.callers["keeper"].client
    query = "&".join(f"{name}={quote(away)}" for name in ASKS)
    for address in ("/", "/tank/1/", "/tank/1/feed", "/device", "/t/1"):
        assert leads_here(client.get(f"{address}?{query}")), address
    form = feed_form(home)
    sent = form.pairs()
    for name in ASKS:
        sent.add(name, away)
    answer = client.post(f"{form.action}?{query}", data=sent)
    assert answer.status_code == 303
    assert leads_here(answer)


@pytest.mark.parametrize(
    "path", ["//elsewhere.example/", "/\\elsewhere.example/", "//elsewhere.example/%2e%2e"]
)
def test_an_address_with_a_doubled_line_leads_nowhere(home: House, path: str) -> None:
    answer = home.callers["keeper"].client.get(path)
    assert answer.status_code in {400, 404} or leads_here(answer)


def leads_here(answer: TestResponse) -> bool:
    """Whether a redirect is a path of this server as browsers read it (WHATWG URL, 4.4)."""
    where = answer.headers.get("Location", "/")
    as_read = "".join(c for c in where if c not in "\t\r\n").replace("\\", "/")
    if as_read.startswith("http://localhost/"):
        return True
    return as_read.startswith("/") and not as_read.startswith("//")


def test_signing_in_leads_to_the_own_pages_only(home: House) -> None:
    client = home.new_client()
    page = Page(client, client.get("/?next=//elsewhere.example/"))
    form = page.forms[-1]
    form.put("passphrase", KEEPERS_PASSPHRASE)
    if "name" in form.names:
        form.put("name", home.record.adult.name)
    answer = client.post(f"{form.action}?next=//elsewhere.example/", data=form.pairs())
    assert answer.status_code == 303
    assert answer.location == "/"


# files of the machine


@pytest.mark.parametrize(
    "path",
    ["../app/settings.py", "..%2f..%2fapp/settings.py", "%2e%2e/app/settings.py", "css/../../app",
     "..\\app\\settings.py", "/etc/passwd", "css//etc/passwd", "css/base.css%00.png", ".", "..",
     "css", "css/", "C:/windows/win.ini", "file:///etc/passwd"],
)  # fmt: skip
def test_no_path_leads_out_of_the_folder_of_files(home: House, path: str) -> None:
    answer = home.new_client().get(f"/static/{path}", buffered=True)
    assert answer.status_code in {308, 400, 404}
    assert leads_here(answer)
    assert "root:" not in answer.text


@pytest.mark.parametrize(
    "name", ["..%2f..%2fetc%2fpasswd", "../../etc/passwd", "\x00", "%00", "a" * 3_000]
)
def test_no_name_in_an_address_leads_to_a_file(home: House, name: str) -> None:
    client = home.callers["keeper"].client
    for folder in (
        "/numbers/of/", "/numbers/animals/", "/tank/1/odd/", "/tank/1/charts/", "/tank/1/work-out/",
        "/tank/1/lessons/guided/", "/tank/1/starting/", "/tank/1/closing/", "/tank/1/to-do/",
    ):  # fmt: skip
        answer = client.get(folder + name)
        assert answer.status_code == 404, folder
        assert "root:" not in answer.text


# too large, or no form at all


@pytest.mark.parametrize(
    ("kind", "body", "statuses"),
    [
        (FORM, b"a=" + b"x" * 17_000_000, {413}),
        (FORM, b"note=" + b"x" * 600_000, {413}),
        (FORM, b"a&" * 200_000, {413}),
        (FORM, b"a=1&" * 1_000, {413}),
        (FORM, b"%" * 5_000, {400}),
        (FORM, b"\xff\xfe\x00" * 100, {400}),
        (FORM, b"csrf_token=%ed%a0%80", {400}),
        ("multipart/form-data", b"no boundary at all", {400}),
        ("multipart/form-data; boundary=", b"--\r\n\r\n", {400}),
        ("multipart/form-data; boundary=x", b"--x\r\nContent-Disposition: form-data", {400}),
        ("multipart/form-data; boundary=x", b"--x\r\n" * 50_000, {400}),
        ("multipart/form-data; boundary=" + "x" * 5_000, b"--x\r\n", {400}),
        ("multipart/form-data; boundary=x",
         b'--x\r\nContent-Disposition: form-data; name="a"\r\n\r\n1\r\n' * 1_500 + b"--x--", {413}),
        ("application/json", json.dumps({"csrf_token": 1}).encode(), {400}),
        ("application/json", b"[" * 100_000, {400}),
        ("application/xml", b'<!DOCTYPE a [<!ENTITY b "c">]><a>&b;</a>', {400}),
        ("text/plain", b"scoops=1", {400}),
        ("", b"scoops=1", {400}),
        ("\u00e9; charset=nothing", b"scoops=1", {400}),
        (f"{FORM}; charset=utf-7", b"scoops=+ADw-script+AD4-", {400}),
        (f"{FORM}; charset=nothing", b"scoops=1", {400}),
    ],
    ids=lambda value: str(value)[:40] if isinstance(value, str) else "",
)  # fmt: skip
def test_a_body_that_no_form_has_is_refused(
    home: House, kind: str, body: bytes, statuses: set[int]
) -> None:
    answer = home.callers["keeper"].client.post("/tank/1/feed", data=body, content_type=kind)
    assert answer.status_code in statuses
    assert list(planted.faults_of(answer)) == []
    assert len(answer.data) < 10_000 + len(body), "more comes back than was sent"


def test_an_address_with_very_many_fields_is_answered(home: House) -> None:
    client = home.callers["keeper"].client
    for address in ("/tank/1/story", "/tank/1/charts/ph", "/tank/1/work-out/volume", "/tank/1/"):
        assert client.get(f"{address}?{'a=1&' * 8_000}").status_code in {200, 404}
