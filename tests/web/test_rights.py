"""Who may open what: every address is declared, and no form is taken that another site sent.

What each role meets at every address stands in `tests/contract/role_matrix.md`.
"""

from pathlib import Path

from flask import Flask

from app.clock import FixedClock
from app.domain.people import Role
from app.web.rights import ANYBODY, RIGHTS, SAVES, roles_of
from tests.page_checker import CheckedClient
from tests.record import Record
from tests.web.conftest import new_app
from tests.web.every_address import address_of
from tests.web.visits import seen

# what pupils see: Today, Write down, Charts, Words, and what belongs to them
PUPILS_BLUEPRINTS = {"today", "writing", "charts", "words", "workings", "notebook"}
# of all others only the list of tanks, this device, and the page on which they seal a guess
PUPILS_OTHERS = {"many.tanks", "access.device", "ahead.predict", "ahead.take_guess_back"}
# pages behind a link have no session: their forms carry a key of their own, see their tests
# programs have none either: they carry their token
WITHOUT_SESSION = ("guest.", "api.")


def posts(app: Flask) -> list[str]:
    """Every address to which a form can be sent."""
    return [
        address_of(app, rule)
        for rule in app.url_map.iter_rules()
        if "POST" in (rule.methods or ()) and not rule.endpoint.startswith(WITHOUT_SESSION)
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
    assert set(RIGHTS) | set(SAVES) <= known


def test_pupils_get_their_pages_and_no_other(app: Flask) -> None:
    theirs = {
        rule.endpoint
        for rule in app.url_map.iter_rules()
        if Role.HELPER in (roles_of(rule.endpoint) or ()) and roles_of(rule.endpoint) is not ANYBODY
    }
    others = {e for e in theirs if e.partition(".")[0] not in PUPILS_BLUEPRINTS}
    assert others == PUPILS_OTHERS


def test_every_post_needs_its_token(app: Flask, adult: CheckedClient) -> None:
    for url in posts(app):
        assert adult.post(url, data={"x": "1"}).status_code == 400, url


def test_what_another_site_sends_is_refused(app: Flask, adult: CheckedClient) -> None:
    for url in posts(app):
        answer = adult.post(url, headers={"Sec-Fetch-Site": "cross-site"})
        assert answer.status_code == 403, url
    assert "Brook" in seen(adult, "/tank/1/")
