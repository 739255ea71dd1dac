"""Who may open what: every address is declared, and every role is tried on every address."""

from pathlib import Path

from flask import Flask

from app.clock import FixedClock
from app.domain.people import Role
from app.web.rights import ANYBODY, RIGHTS, roles_of
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.conftest import new_app
from tests.web.visits import csrf_of, seen

# what pupils see: Today, Write down, Charts, Words, and what belongs to them
PUPILS_BLUEPRINTS = {"today", "writing", "charts", "words", "workings"}
# and of the pages that look ahead only the one on which they seal a guess
PUPILS_AHEAD = {"ahead.predict"}
IN_ADDRESSES = {"tank_id": 1, "entry_id": 1, "key": "look", "quantity": "ph", "token": "x"}


def addresses(app: Flask, method: str) -> list[tuple[str, str]]:
    """Every address of the app with its endpoint, made with values that may not exist."""
    with app.test_request_context():
        adapter = app.url_map.bind("localhost")
        return [
            (
                rule.endpoint,
                adapter.build(rule.endpoint, {a: IN_ADDRESSES.get(a, 1) for a in rule.arguments}),
            )
            for rule in app.url_map.iter_rules()
            if method in (rule.methods or ()) and rule.endpoint != "static"
        ]


def test_every_address_declares_its_right(app: Flask) -> None:
    undeclared = [r.endpoint for r in app.url_map.iter_rules() if roles_of(r.endpoint) is None]
    assert undeclared == []


def test_what_nobody_declared_is_refused_to_everybody(
    tmp_path: Path, clock: FixedClock, record: Record
) -> None:
    app = new_app(tmp_path, clock, record.database)
    app.add_url_rule("/forgotten", "forgotten", lambda: "never seen")
    client = app.test_client()
    assert client.get("/forgotten").status_code == 403


def test_every_declaration_belongs_to_a_page(app: Flask) -> None:
    known = {r.endpoint for r in app.url_map.iter_rules()} | set(app.blueprints)
    assert set(RIGHTS) <= known


def test_pupils_get_their_pages_and_no_other(app: Flask) -> None:
    theirs = {
        endpoint
        for endpoint, _ in addresses(app, "GET")
        if Role.HELPER in (roles_of(endpoint) or ()) and not endpoint.startswith("access.")
    }
    assert {e for e in theirs if e.startswith("ahead.")} == PUPILS_AHEAD
    assert {e.split(".")[0] for e in theirs - PUPILS_AHEAD} == PUPILS_BLUEPRINTS
    assert Role.HELPER not in (roles_of("numbers.numbers") or ())


def test_a_stranger_is_sent_to_the_sign_in_page(app: Flask, stranger: CheckedClient) -> None:
    for endpoint, url in addresses(app, "GET"):
        answer = stranger.get(url)
        if roles_of(endpoint) is ANYBODY:
            assert answer.status_code in {200, 303, 404}, url
        else:
            assert (answer.status_code, answer.location) == (303, "/"), url


def test_a_helper_is_refused_what_is_for_grown_ups(app: Flask, helper: CheckedClient) -> None:
    for endpoint, url in addresses(app, "GET"):
        status = helper.get(url).status_code
        if Role.HELPER not in (roles_of(endpoint) or ()):
            assert status == 403, f"{url} answered {status}"
        elif endpoint != "writing.fix":  # that one closes after ten minutes
            assert status in {200, 303, 404}, f"{url} answered {status}"


def test_a_helpers_post_to_a_page_for_grown_ups_changes_nothing(
    app: Flask, helper: CheckedClient
) -> None:
    token = csrf_of(helper, "/tank/1/feed")
    for endpoint, url in addresses(app, "POST"):
        if Role.HELPER not in (roles_of(endpoint) or ()):
            assert helper.post(url, data={"csrf_token": token}).status_code == 403, url


def test_a_strangers_post_saves_nothing(app: Flask, stranger: CheckedClient) -> None:
    for endpoint, url in addresses(app, "POST"):
        if roles_of(endpoint) is not ANYBODY:
            answer = stranger.post(url, data={"note": "kept"})
            assert answer.status_code == 400, url
            assert "Not saved yet" in answer.text


def test_every_post_needs_its_token(app: Flask, adult: CheckedClient) -> None:
    for _, url in addresses(app, "POST"):
        assert adult.post(url, data={"x": "1"}).status_code == 400, url


def test_what_another_site_sends_is_refused(app: Flask, adult: CheckedClient) -> None:
    for _, url in addresses(app, "POST"):
        answer = adult.post(url, headers={"Sec-Fetch-Site": "cross-site"})
        assert answer.status_code == 403, url
    assert "Brook" in seen(adult, "/tank/1/")


def test_a_page_of_an_adult_opens_for_the_adult(app: Flask, adult: CheckedClient) -> None:
    for endpoint, url in addresses(app, "GET"):
        status = adult.get(url).status_code
        assert status != 403 or endpoint == "writing.fix", f"{url} answered {status}"
