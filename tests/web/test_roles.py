"""What each role meets on its way through the pages: links that open, no pupil, no other tank."""

from datetime import timedelta

import pytest
from flask import Flask
from sqlalchemy import delete

from app.clock import FixedClock
from app.domain.drafts import NewJob, NewNote, NewStockEvent
from app.domain.people import Role
from app.domain.quantities import Quantity
from app.domain.records import JobKind, StockEventKind
from app.services import marks, private_notes
from app.storage.models.classes import ClassTank
from app.web.rights import roles_of
from tests.page_checker import CheckedClient
from tests.record import ALL_FINE, ONE_SCOOP, Record, reading
from tests.web.crawling import crawl
from tests.web.every_address import address_of
from tests.web.roles import client_of, unchecked
from tests.web.test_access import add_tank
from tests.web.visits import csrf_of

PRIVATE, HIDDEN, WAITING, OTHER_TANK = "quincewood", "larchbough", "hazelmoss", "Pool"
NICKNAMES = {"Otter", "Finch"}
# what stands in the record and on no page of a role, whatever link is followed
NEVER = {
    Role.STRANGER: {"Brook", "Hill School", PRIVATE, HIDDEN, WAITING, OTHER_TANK} | NICKNAMES,
    Role.HELPER: {PRIVATE, HIDDEN, WAITING, OTHER_TANK},
    Role.TECHNICIAN: {PRIVATE, OTHER_TANK} | NICKNAMES,
    Role.COORDINATOR: {PRIVATE, OTHER_TANK} | NICKNAMES,
}


@pytest.fixture
def lived_in(record: Record) -> Record:
    """A record in which helpers and adults wrote, next to a tank that nobody invited has."""
    record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.5), by=record.otter)
    record.write(ALL_FINE, by=record.finch)
    record.write(NewNote(note=WAITING), by=record.otter)
    record.write(NewJob(job=JobKind.GLASS), at=record.now - timedelta(days=3), by=record.finch)
    record.write(
        NewStockEvent(what=StockEventKind.DIED, group_id=1, count=1, note=HIDDEN, hidden=True)
    )
    pool = add_tank(record, OTHER_TANK)
    with record.database.writing() as session:
        marks.assign(session, 1, "look", "Otter", author_id=record.adult.author_id, now=record.now)
        private_notes.write(session, 1, PRIVATE, author_id=record.adult.author_id, now=record.now)
        session.execute(delete(ClassTank).where(ClassTank.tank_id == pool))
        session.commit()
    return record


@pytest.mark.parametrize("role", NEVER)
def test_every_link_opens_and_no_page_shows_what_is_not_for_the_role(
    app: Flask, lived_in: Record, clock: FixedClock, role: Role
) -> None:
    client = unchecked(client_of(role, app, lived_in, clock, tanks=[1]))
    wrong: list[tuple[object, str, str]] = []
    pages = 0
    for url, found_on, answer in crawl(client, "/", same=3):
        pages += 1
        if answer.status_code not in {200, 303}:
            wrong.append((answer.status_code, url, found_on))
        is_text = (answer.mimetype or "").startswith(("text/", "image/svg"))
        text = answer.text if is_text else ""
        wrong += [(word, url, found_on) for word in NEVER[role] if word in text]
    assert wrong == []
    assert pages >= {Role.STRANGER: 3, Role.HELPER: 25}.get(role, 80)


@pytest.mark.parametrize("role", [Role.STRANGER, Role.HELPER, Role.TECHNICIAN, Role.COORDINATOR])
def test_what_a_role_may_not_send_changes_nothing(
    app: Flask, lived_in: Record, clock: FixedClock, role: Role
) -> None:
    client = client_of(role, app, lived_in, clock)
    form = {Role.STRANGER: "/join", Role.HELPER: "/tank/1/feed"}.get(role, "/me")
    data = {"csrf_token": csrf_of(client, form), "token": "a-form-of-its-own", **PLAUSIBLE}
    before = all_rows(lived_in)
    sent = 0
    for rule in app.url_map.iter_rules():
        roles = roles_of(rule.endpoint, saves=True) or frozenset()
        if "POST" in (rule.methods or ()) and role not in roles:
            answer = client.post(address_of(app, rule, row=1), data=data)
            assert answer.status_code in {400, 403}, rule.rule
            sent += 1
    assert sent > 20
    assert all_rows(lived_in) == before


# fields that would make many a form valid
PLAUSIBLE = {
    "name": "Zed", "role": "keeper", "which": "all", "passphrase": "eleven dry leaves fall",
    "scoops": "1", "temperature": "24", "note": "x", "hands": "2", "when": "now", "count": "1",
    "group": "1", "what": "died", "first_day": "2027-02-13", "last_day": "2027-02-14",
}  # fmt: skip


def all_rows(record: Record) -> list[str]:
    """Everything that stands in the record."""
    with record.database.engine.connect() as connection:
        dbapi = connection.connection.dbapi_connection
        assert dbapi is not None
        return list(dbapi.iterdump())


def test_a_keeper_reads_nicknames_where_a_technician_reads_a_helper(
    app: Flask, lived_in: Record, clock: FixedClock, adult: CheckedClient
) -> None:
    technician = client_of(Role.TECHNICIAN, app, lived_in, clock)
    for url in ("/tank/1/", "/tank/1/story", "/tank/1/entry/3"):
        for_keeper, for_technician = adult.get(url).text, technician.get(url).text
        assert NICKNAMES & {name for name in NICKNAMES if name in for_keeper}, url
        assert "a helper" in for_technician, url
