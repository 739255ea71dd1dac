"""What programs are told of a tank; and that nobody is named anywhere."""

import re
from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from app.domain.drafts import NewLook, NewMeal, NewStockEvent
from app.domain.quantities import Quantity
from app.domain.records import Sign, StockEventKind
from app.services import marks, sites, tanks
from tests.record import MONDAY, Record, reading
from tests.statements import asked_of
from tests.web.api.conftest import Caller, warm
from tests.web.test_access import add_tank


def test_the_list_has_each_tank_with_its_state(caller: Caller, record: Record) -> None:
    add_tank(record, "Pool")
    assert caller.shown("/tanks") == {
        "tanks": [
            {"id": 1, "name": "Brook", "state": "dont_know", "state_word": "Don’t know"},
            {"id": 2, "name": "Pool", "state": "dont_know", "state_word": "Don’t know"},
        ]
    }


def test_a_closed_tank_is_read_and_not_listed(caller: Caller, record: Record) -> None:
    with record.database.writing() as session:
        tanks.close(session, 1, MONDAY.date(), now=MONDAY, though_animals=True)
    assert caller.shown("/tanks") == {"tanks": []}
    assert caller.shown("/tanks/1")["closed_on"] == "2027-02-08"


def test_more_tanks_need_no_more_statements(caller: Caller, record: Record) -> None:
    def statements() -> int:
        with asked_of(record.database) as asked:
            caller.shown("/tanks")
        return len(asked)

    add_tank(record, "Pool")
    few = statements()
    for number in range(8):
        add_tank(record, f"Pool {number}")
    assert statements() <= few


def test_one_tank_says_what_is_settled_and_what_is_due(caller: Caller) -> None:
    tank = caller.shown("/tanks/1")
    assert (tank["name"], tank["place"], tank["zone"]) == (
        "Brook", "Hill School", "America/New_York",
    )  # fmt: skip
    # by hand: 78 x 34 x 36 / 1000 = 95.472 L, less 0.6 of 5 cm of sand (7.956 L), less 2.5 L
    assert tank["net_volume_l"] == pytest.approx(85.02, abs=0.01)
    assert tank["units_read"] == {"temperature": "°C", "volume": "L"}
    assert tank["tasks"][0]["key"] == "look"
    assert tank["tasks"][0]["due_at"].endswith("-05:00")


def test_a_household_that_reads_fahrenheit_and_gallons_says_so(
    caller: Caller, record: Record
) -> None:
    with record.database.writing() as session:
        draft = sites.SiteDraft(
            name="Home", zone="America/New_York", fahrenheit=True, us_gallons=True
        )
        sites.set_site(session, draft)
    assert caller.shown("/tanks/1")["units_read"] == {"temperature": "°F", "volume": "US gal"}
    assert caller.measure(warm(77, unit="°F")).status_code == 201
    # answers stay in one unit
    assert caller.shown("/tanks/1/readings")["readings"][0]["unit"] == "°C"


def test_the_evaluation_answers_what_the_pages_answer(caller: Caller, record: Record) -> None:
    record.write(
        NewLook(seen=16, breathing_calm=False, signs=(Sign.GASPING,)),
        reading(Quantity.TEMPERATURE, 24.5),
    )
    found = caller.shown("/tanks/1/evaluation")
    assert (found["state"], found["state_word"]) == ("act_now", "Act now")
    assert found["tasks"][0]["severity"] == "emergency"
    assert found["meal"]["state"] == "no_food"
    kept = {row["name"]: row for row in found["kept"]}
    assert kept["temperature"]["fresh"] is True
    assert kept["nitrate"]["taken_at"] is None


@pytest.fixture
def names(record: Record) -> list[str]:
    """Whatever may hold a name of somebody, filled in."""
    with record.database.writing() as session:
        people: dict[str, Any] = {
            "adult": "Ms Marlow",
            "adult_phone": "555 0100",
            "deputy": "Mr Birch",
        }
        tanks.change_tank(session, 1, replace(tanks.tank(session, 1).facts, **people))
        tanks.set_range(session, 1, Quantity.TEMPERATURE, 20.0, 22.0, set_by="Ms Marlow")
    record.write(NewMeal(scoops=1.0), by=record.otter, at=MONDAY - timedelta(minutes=50))
    record.write(NewMeal(scoops=1.0), by=record.finch, at=MONDAY - timedelta(minutes=40))
    read = reading(Quantity.TEMPERATURE, 29.0, reader_id=record.finch)
    record.write(NewLook(seen=15, note="Otter saw it with Finch"), read, by=record.finch)
    hidden = NewStockEvent(
        what=StockEventKind.DIED, group_id=1, count=1, hidden=True, note="Ms Marlow found it"
    )
    record.write(hidden, at=MONDAY - timedelta(hours=1))
    with record.database.writing() as session:
        task = "water-change"
        marks.assign(session, 1, task, "Otter", author_id=record.adult.author_id, now=MONDAY)
    return ["Otter", "Finch", "Marlow", "Birch", "555 0100", "Grown-up", "saw it", "Hall therm"]


def test_nobody_is_named_in_any_answer(caller: Caller, record: Record, names: list[str]) -> None:
    assert caller.measure(warm(28.9)).status_code == 201
    paths = [
        "/tanks", "/tanks/1", "/tanks/1/evaluation", "/tanks/1/readings?limit=500",
        "/tanks/1/entries?all=true&limit=500",
    ]  # fmt: skip
    paths += [f"/tanks/1/entries/{e['id']}" for e in caller.shown(paths[-1])["entries"]]
    text = "\n".join(caller.get(path).text for path in paths)
    text += caller.write(kind="feeding", scoops=1).text
    assert [name for name in names if name in text] == []
    assert not re.search(r"\bdied\b|\blost\b|\bloss\b", text)
    assert {"helper", "adult", "program"} <= set(re.findall(r'"by": "(\w+)"', text))
