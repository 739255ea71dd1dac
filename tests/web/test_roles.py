"""What each role meets on its way through the pages: links that open, no pupil, no other tank."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import time, timedelta

import pytest
from flask import Flask
from flask.testing import FlaskClient
from sqlalchemy import delete, select
from werkzeug.test import TestResponse

from app.clock import FixedClock
from app.domain.drafts import NewJob, NewNote, NewStockEvent
from app.domain.kit import KitFacts, SupplyFacts
from app.domain.people import Role
from app.domain.quantities import Quantity
from app.domain.records import JobKind, StockEventKind
from app.domain.tank import Setback, TankFacts, TankShape
from app.services import (
    comparisons,
    equipment,
    kits,
    marks,
    own_species,
    private_notes,
    sites,
    supplies,
    tanks,
)
from app.services.ahead import predictions
from app.services.comparisons import ComparisonDraft
from app.services.equipment import EquipmentDraft
from app.services.livestock import plants
from app.services.livestock.plants import PlantDraft
from app.services.own_species import SpeciesDraft
from app.services.school import school_days, setbacks
from app.storage.base import Base
from app.storage.models.classes import ClassTank
from app.web.rights import roles_of
from tests.page_checker import CheckedClient
from tests.record import ALL_FINE, MONDAY, ONE_SCOOP, Record, reading
from tests.web.crawling import crawl
from tests.web.every_address import address_of
from tests.web.roles import client_of, unchecked
from tests.web.stories.browsing import Page
from tests.web.test_access import add_tank
from tests.web.visits import csrf_of, seen

PRIVATE, HIDDEN, WAITING, OTHER_TANK = "quincewood", "larchbough", "hazelmoss", "Zandermere"
BY_ADULT = "OTTER rinsed it with finch"
NICKNAMES = {"Otter", "Finch"}
# what stands in the record and on no page of a role, whatever link is followed
PRESSED_IN_VAIN = "shows a button that this role may not press"
NEVER = {
    Role.STRANGER: {"Brook", "Hill School", PRIVATE, HIDDEN, WAITING, OTHER_TANK} | NICKNAMES,
    Role.HELPER: {PRIVATE, HIDDEN, WAITING, OTHER_TANK},
    Role.TECHNICIAN: {PRIVATE, OTHER_TANK} | NICKNAMES,
    Role.COORDINATOR: {PRIVATE, OTHER_TANK} | NICKNAMES,
    Role.KEEPER: {OTHER_TANK},
}


@pytest.fixture
def lived_in(record: Record) -> Record:
    """A record in which helpers and adults wrote, next to a tank that nobody invited has."""
    record.write(ONE_SCOOP, reading(Quantity.TEMPERATURE, 24.5), by=record.otter)
    record.write(ALL_FINE, by=record.finch)
    record.write(NewNote(note=f"{WAITING}, says Finch"), by=record.otter)
    record.write(NewJob(job=JobKind.FILTER_RINSE, note=BY_ADULT))
    record.write(NewJob(job=JobKind.GLASS), at=record.now - timedelta(days=3), by=record.finch)
    record.write(
        NewStockEvent(what=StockEventKind.DIED, group_id=1, count=1, note=HIDDEN, hidden=True)
    )
    pool = add_tank(record, OTHER_TANK)
    fill_registers(record)
    with record.database.writing() as session:
        marks.assign(session, 1, "look", "Otter", author_id=record.adult.author_id, now=record.now)
        private_notes.write(session, 1, PRIVATE, author_id=record.adult.author_id, now=record.now)
        session.execute(delete(ClassTank).where(ClassTank.tank_id == pool))
        session.commit()
    return record


def fill_registers(record: Record) -> None:
    """A row of each kind that pages offer to change, to strike or to bring back."""
    day, card = record.now.date(), KitFacts(quantity=Quantity.PH, name="Card", unit="")
    with record.database.writing() as session:
        held_against = ComparisonDraft(known=7.0, read=7.2)
        comparisons.compare_kit(session, kits.add_kit(session, 1, card), held_against, now=MONDAY)
        kits.retire_kit(session, kits.add_kit(session, 1, replace(card, name="Drops")), day)
        heater = EquipmentDraft(kind="heater", name="Heater")
        equipment.failed(session, equipment.add(session, 1, heater), day)
        equipment.add(session, 1, replace(heater, name="Other heater"))
        plants.add(session, 1, PlantDraft(name="Fern"))
        plants.remove(session, plants.add(session, 1, PlantDraft(name="Lily")))
        food = SupplyFacts(kind="food", name="Flakes", unit="g", left=40, counted_on=day)
        supplies.add(session, 1, food)
        own = SpeciesDraft(scientific_name="Danio fictus", common_name="Danio", source="a book")
        own_species.add(session, 1, own)
        school_days.add(session, 1, day + timedelta(days=5), day + timedelta(days=14), "Break")
        predictions.open_round(
            session, 1, Quantity.PH, closes_at=None, author_id=record.adult.author_id,
            token="a-round-of-guesses", now=record.now,
        )  # fmt: skip
        setbacks.add(session, 1, Setback(weekdays=frozenset({4}), starts=time(17), ends=time(6)))


@pytest.mark.parametrize("role", NEVER)
def test_every_link_opens_and_no_page_shows_what_is_not_for_the_role(
    app: Flask, lived_in: Record, clock: FixedClock, role: Role
) -> None:
    client = unchecked(client_of(role, app, lived_in, clock, tanks=[1]))
    wrong: list[tuple[object, str, str]] = []
    pages, pressed = 0, set[str]()
    for url, found_on, answer in crawl(client, "/", same=1 if role is Role.KEEPER else 3):
        pages += 1
        if answer.status_code not in {200, 303}:
            wrong.append((answer.status_code, url, found_on))
        wrong += [(PRESSED_IN_VAIN, each, url) for each in pressed_in_vain(client, answer, pressed)]
        is_text = (answer.mimetype or "").startswith(("text/", "image/svg"))
        text = answer.text if is_text else ""
        said = text.casefold()
        wrong += [(word, url, found_on) for word in NEVER[role] if word.casefold() in said]
    assert wrong == []
    assert pages >= {Role.STRANGER: 3, Role.HELPER: 25}.get(role, 80)


def pressed_in_vain(client: FlaskClient, answer: TestResponse, pressed: set[str]) -> Iterator[str]:
    """Where the forms of a page go whose buttons somebody sees and is told that they may not.

    Without the token of the page no form is taken; what is no right of theirs is refused first.
    What stands in `pressed` is not tried again.
    """
    if answer.mimetype == "text/html" and "<form" in answer.text:
        new = {f.action for f in Page(client, answer).forms if f.buttons} - pressed
        pressed |= new
        yield from (each for each in new if client.post(each).status_code == 403)


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
    with record.database.reading() as session:
        return [
            f"{table.name} {tuple(row)}"
            for table in Base.metadata.sorted_tables
            for row in session.execute(select(table).order_by(*table.primary_key.columns))
        ]


PLACE = (
    "/settings", "/settings/breaks", "/settings/tap-water", "/settings/heating",
    "/settings/own-rules", "/settings/calendar", "/own-animals",
)  # fmt: skip


def test_what_holds_for_a_place_takes_a_keeper_of_all_its_tanks(
    app: Flask, record: Record, clock: FixedClock
) -> None:
    """With a second tank in the place, who keeps one of them reads its settings only."""
    some = client_of(Role.KEEPER, app, record, clock, tanks=[1])
    data = {"csrf_token": csrf_of(some, "/tank/1/plan")}
    assert {some.post(page, data=data).status_code for page in PLACE} <= {303, 422}
    add_tank(record, OTHER_TANK)
    before = all_rows(record)
    assert [some.post(page, data=data).status_code for page in PLACE] == [403] * len(PLACE)
    for page in PLACE:
        assert "You can read this page" in seen(some, page)
    assert all_rows(record) == before


def test_a_place_of_other_tanks_is_no_matter_of_who_keeps_all_of_one(
    app: Flask, record: Record, clock: FixedClock
) -> None:
    some = client_of(Role.KEEPER, app, record, clock, tanks=[1])
    with record.database.writing() as session:
        elsewhere = sites.add_site(session, sites.SiteDraft(name="Elsewhere", zone="Europe/Oslo"))
        shape = TankShape(length_cm=40, width_cm=25, water_depth_cm=25)
        tanks.add_tank(session, TankFacts(name=OTHER_TANK, shape=shape), site_id=elsewhere)
    data = {"csrf_token": csrf_of(some, "/tank/1/plan")}
    assert some.post("/settings", data=data).status_code == 303
    assert some.post(f"/settings?place={elsewhere}", data=data).status_code == 403


def test_a_keeper_reads_nicknames_where_a_technician_reads_a_helper(
    app: Flask, lived_in: Record, clock: FixedClock, adult: CheckedClient
) -> None:
    technician = client_of(Role.TECHNICIAN, app, lived_in, clock)
    for url in ("/tank/1/", "/tank/1/story", "/tank/1/entry/3"):
        for_keeper, for_technician = adult.get(url).text, technician.get(url).text
        assert NICKNAMES & {name for name in NICKNAMES if name in for_keeper}, url
        assert "a helper" in for_technician, url
