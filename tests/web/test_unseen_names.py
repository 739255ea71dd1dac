"""Whoever sees no pupils: what they find, and what stays as it was typed when they fix it."""

import io
from datetime import date
from typing import Any

import pytest
from flask import Flask
from sqlalchemy import inspect, select

from app.clock import FixedClock
from app.domain.drafts import NewJob, NewLook, NewMeal, NewStockEvent, NewTest
from app.domain.kit import SupplyFacts
from app.domain.people import Role
from app.domain.quantities import Quantity
from app.domain.records import JobKind, StockEventKind
from app.services import equipment, photos, supplies
from app.services.equipment import EquipmentDraft
from app.storage.models.feeding import Feeding
from app.storage.models.kit import Equipment, Supply
from app.storage.models.livestock import Observation, StockEvent
from app.storage.models.maintenance import Job
from app.storage.models.notebook import Photo
from app.storage.models.water import WaterTest
from tests.page_checker import CheckedClient
from tests.pictures import jpeg
from tests.record import MONDAY, Record, reading
from tests.web.filling import form_on, opened, save, saved_id
from tests.web.roles import client_of
from tests.web.test_notebook import BOOK
from tests.web.visits import seen, words_of

TYPED, READ = "Otter saw eggs. Finch too.", "a helper saw eggs. a helper too."
ASKED = "A name that you are not shown stands in"


@pytest.fixture
def technician(app: Flask, record: Record, clock: FixedClock) -> CheckedClient:
    """An adult who sees no pupils."""
    return client_of(Role.TECHNICIAN, app, record, clock)


def stands(record: Record, column: Any) -> list[Any]:
    """The words of a column as they stand in the record, the newest last."""
    with record.database.reading() as session:
        # each of these tables has one key, which ascends
        key = inspect(column.class_).primary_key[0]
        return list(session.scalars(select(column).order_by(key)))


ENTRIES = (
    (NewLook(seen=16, note=TYPED), "note", Observation.note),
    (NewTest(note=TYPED), "note", WaterTest.note),
    (NewJob(job=JobKind.GLASS, note=TYPED), "note", Job.note),
    (NewMeal(scoops=None, amount_words=TYPED), "amount_words", Feeding.amount_words),
    (
        NewStockEvent(what=StockEventKind.DIED, group_id=1, count=1, note=TYPED),
        "note",
        StockEvent.note,
    ),
)


def written(record: Record, draft: Any) -> str:
    """Write an entry of a helper; returns the address where it is fixed."""
    more = [reading(Quantity.NITRATE, 20)] if isinstance(draft, NewTest) else []
    return f"/tank/1/entry/{record.write(draft, *more, by=record.otter).entry_id}/fix"


@pytest.mark.parametrize(("draft", "field", "column"), ENTRIES)
def test_a_fix_leaves_words_as_they_stand_that_came_back_as_they_were_read(
    technician: CheckedClient, record: Record, draft: Any, field: str, column: Any
) -> None:
    page = written(record, draft)
    form = opened(technician, page)
    assert form[field] == READ
    fixed = saved_id(save(technician, page, reason="wrong time"))
    assert stands(record, column)[-2:] == [TYPED, TYPED]
    more = f"{READ} Two of them."
    saved_id(save(technician, f"/tank/1/entry/{fixed}/fix", **{field: more}, reason="misread"))
    assert stands(record, column)[-1] == f"{TYPED} Two of them."


@pytest.mark.parametrize(("draft", "field", "column"), ENTRIES)
def test_words_with_an_unseen_name_are_not_changed_and_what_was_typed_stays(
    technician: CheckedClient, record: Record, draft: Any, field: str, column: Any
) -> None:
    page, before = written(record, draft), stands(record, column)
    other = READ.replace("eggs", "a snail")
    answer = save(technician, page, **{field: other}, reason="misread")
    assert answer.status_code == 422
    assert f"{ASKED} “{READ}”" in words_of(answer.text)
    assert form_on(answer.text)[field] == other
    assert stands(record, column) == before


def test_whoever_sees_the_names_changes_every_word(adult: CheckedClient, record: Record) -> None:
    page = written(record, NewLook(seen=16, note=TYPED))
    saved_id(save(adult, page, note=READ, reason="misread"))
    assert stands(record, Observation.note)[-1] == READ


def test_lines_of_a_text_are_the_same_after_a_browser_sent_them(
    technician: CheckedClient, record: Record
) -> None:
    page = written(record, NewLook(seen=16, note="Otter\nand Finch"))
    sent = "a helper\r\nand a helper\r\nand I"
    saved_id(save(technician, page, note=sent, reason="misread"))
    assert stands(record, Observation.note)[-1] == "Otter\nand Finch\nand I"


def test_words_that_were_emptied_stay_in_the_history(
    technician: CheckedClient, record: Record
) -> None:
    page = written(record, NewLook(seen=16, note=TYPED))
    saved_id(save(technician, page, note="", reason="misread"))
    assert stands(record, Observation.note)[-2:] == [TYPED, ""]


def test_a_text_that_grows_with_its_names_asks_for_fewer_letters(
    technician: CheckedClient, record: Record
) -> None:
    page = written(record, NewLook(seen=16, note="Finch"))
    with record.database.writing() as session:
        session.query(Observation).update({"note": "Finch " * 60})
        session.commit()
    answer = save(technician, page, note="a helper " * 60, reason="misread")
    assert answer.status_code == 422
    assert "Use 500 letters" in words_of(answer.text)


def test_what_two_people_fixed_is_shown_without_names(
    technician: CheckedClient, adult: CheckedClient, record: Record
) -> None:
    page = written(record, NewLook(seen=16, note="Otter"))
    late = opened(technician, page) | {"reason": "misread"}
    saved_id(save(adult, page, note=TYPED, reason="misread"))
    answer = technician.post(page, data=late)
    assert answer.status_code == 409
    assert READ in words_of(answer.text)
    assert "Otter" not in answer.text


def test_equipment_keeps_its_words(technician: CheckedClient, record: Record) -> None:
    lamp = EquipmentDraft(kind="lamp", name="Otter’s lamp", note=TYPED)
    with record.database.writing() as session:
        page = f"/tank/1/equipment/{equipment.add(session, 1, lamp)}"
    form = opened(technician, page, at=0)
    assert (form["name"], form["note"]) == ("a helper’s lamp", READ)
    assert technician.post(page, data=form | {"watts": "8"}).status_code == 303
    assert stands(record, Equipment.watts) == [8]

    answer = technician.post(page, data=opened(technician, page, at=0) | {"note": "eggs"})
    assert answer.status_code == 422
    assert f"{ASKED} “{READ}”" in words_of(answer.text)
    assert stands(record, Equipment.name) == ["Otter’s lamp"]
    assert stands(record, Equipment.note) == [TYPED]


def test_a_supply_keeps_its_name(technician: CheckedClient, record: Record) -> None:
    flakes = SupplyFacts(
        kind="food", name="Finch flakes", unit="g", left=40, counted_on=MONDAY.date()
    )
    with record.database.writing() as session:
        page = f"/tank/1/supplies/{supplies.add(session, 1, flakes)}"
    form = opened(technician, page, at=1)
    assert form["name"] == "a helper flakes"
    until = {"expires_on": "2027-12-01"}
    assert technician.post(page, data=form | until).status_code == 303
    assert stands(record, Supply.expires_on) == [date(2027, 12, 1)]

    answer = technician.post(page, data=opened(technician, page, at=1) | {"name": "Zed"})
    assert answer.status_code == 422
    assert f"{ASKED} “a helper flakes”" in words_of(answer.text)
    assert stands(record, Supply.name) == ["Finch flakes"]


def add_photo(record: Record, **said: Any) -> int:
    """Add a photo that everybody may see."""
    facts = photos.PhotoFacts(taken_at=record.now, **said)
    picture = photos.read(jpeg())
    with record.database.writing() as session:
        return photos.add(
            session, 1, picture, facts, author_id=record.adult.author_id, shown=True,
            token="a-form-token", now=record.now,
        ).photo_id  # fmt: skip


def test_a_photo_keeps_its_words_and_its_spot(technician: CheckedClient, record: Record) -> None:
    page = f"{BOOK}/photo/{add_photo(record, spot='Otter corner', caption=TYPED)}"
    form = opened(technician, f"{page}/fix")
    assert (form["spot"], form["caption"]) == ("a helper corner", READ)
    assert save(technician, f"{page}/fix", when="yesterday").status_code == 303
    taken = {"csrf_token": form["csrf_token"], "taken": "2027-02-06T10:00"}
    assert technician.post(f"{page}/date", data=taken).status_code == 303
    assert stands(record, Photo.caption) == [TYPED]
    assert stands(record, Photo.spot) == ["Otter corner"]
    answer = save(technician, f"{page}/fix", caption="eggs")
    assert answer.status_code == 422
    assert ASKED in words_of(answer.text)


def test_a_photo_of_a_spot_with_an_unseen_name_stands_beside_the_others(
    technician: CheckedClient, record: Record
) -> None:
    add_photo(record, spot="Otter corner")
    page = f"{BOOK}/photo"
    form = opened(technician, page) | {"spot": "a helper corner"}
    form["file"] = (io.BytesIO(jpeg("blue")), "a.jpg")
    answer = technician.post(page, data=form, content_type="multipart/form-data")
    assert answer.status_code == 303, words_of(answer.text)
    assert stands(record, Photo.spot) == ["Otter corner", "Otter corner"]
    together = technician.get(f"{BOOK}/spots", query_string={"spot": "a helper corner"}).text
    assert all(f"{BOOK}/photo/{number}" in together for number in (1, 2))
    assert "Otter" not in together


@pytest.mark.parametrize(
    ("asked", "found"),
    [("otter", False), ("FINCH", False), ("a helper saw eggs", True), ("eggs", True)],
)
def test_a_search_goes_through_what_is_read(
    technician: CheckedClient, record: Record, asked: str, found: bool
) -> None:
    record.write(NewLook(seen=16, note=TYPED), by=record.otter)
    add_photo(record, caption=TYPED)
    page = technician.get(f"{BOOK}/search", query_string={"q": asked}).text
    assert ("Nothing found" not in page) is found
    assert (READ in page) is found
    assert (f"{BOOK}/photo/1" in page) is found
    assert "Otter" not in page


def test_a_search_of_whoever_sees_the_names_finds_them(
    adult: CheckedClient, record: Record
) -> None:
    record.write(NewLook(seen=16, note=TYPED), by=record.otter)
    assert TYPED in seen(adult, f"{BOOK}/search?q=otter")
    assert "Nothing found" in seen(adult, f"{BOOK}/search?q=a+helper")
