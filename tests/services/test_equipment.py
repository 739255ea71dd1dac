"""What hangs on a tank: added, checked, put away, and found again by its lot."""

from dataclasses import replace
from datetime import date

import pytest

from app.domain.errors import NotFound, Refused
from app.domain.tank import TankFacts, TankShape
from app.services import equipment, tanks
from app.services.equipment import EquipmentDraft
from tests.record import Record

HEATER = EquipmentDraft(kind="heater", name="Heater", lot="H-17", watts=100)
TODAY = date(2027, 2, 8)


def test_what_is_in_use_stands_before_what_was_put_away(record: Record) -> None:
    with record.database.writing() as session:
        before = tanks.revision(session, record.tank_id)
        old = equipment.add(session, record.tank_id, HEATER)
        equipment.retire(session, old, TODAY)
        fresh = equipment.add(session, record.tank_id, replace(HEATER, name=" New heater "))
        found = equipment.equipment(session, record.tank_id)
        assert tanks.revision(session, record.tank_id) == before + 3
    assert [(e.id, e.name, e.retired_on) for e in found] == [
        (fresh, "New heater", None), (old, "Heater", TODAY),
    ]  # fmt: skip


def test_it_is_changed_checked_and_brought_back(record: Record) -> None:
    with record.database.writing() as session:
        one = equipment.add(session, record.tank_id, HEATER)
        equipment.change(
            session, one, replace(HEATER, watts=150, note="left corner"), visitor=record.adult
        )
        equipment.checked(session, one, date(2027, 8, 8))
        equipment.retire(session, one, TODAY)
        equipment.bring_back(session, one)
        (found,) = equipment.equipment(session, record.tank_id)
    assert (found.watts, found.note, found.next_check_on, found.retired_on) == (
        150, "left corner", date(2027, 8, 8), None,
    )  # fmt: skip


def test_a_recall_finds_every_tank_with_the_lot_however_it_is_written(record: Record) -> None:
    with record.database.writing() as session:
        shape = TankShape(length_cm=60, width_cm=30)
        other = tanks.add_tank(session, TankFacts(name="Pool", shape=shape))
        equipment.add(session, record.tank_id, HEATER)
        gone = equipment.add(session, other, replace(HEATER, lot=" h-17"))
        equipment.retire(session, gone, TODAY)
        equipment.add(session, other, replace(HEATER, lot="H-18"))
        equipment.add(session, other, replace(HEATER, lot=""))
        found = equipment.with_lot(session, "H-17 ")
        assert equipment.with_lot(session, "") == ()
    assert [(tank, e.retired_on is None) for tank, e in found] == [("Brook", True), ("Pool", False)]


@pytest.mark.parametrize(
    ("draft", "why"),
    [
        (replace(HEATER, kind="toaster"), "what it is"),
        (replace(HEATER, name=""), "a name"),
        (replace(HEATER, watts=0), "watts"),
        (replace(HEATER, lot="x" * 41), "too long"),
    ],
)
def test_equipment_that_cannot_be_is_refused(
    record: Record, draft: EquipmentDraft, why: str
) -> None:
    with record.database.writing() as session, pytest.raises(Refused, match=why):
        equipment.add(session, record.tank_id, draft)


def test_what_is_not_there_is_told(record: Record) -> None:
    with record.database.writing() as session:
        with pytest.raises(NotFound):
            equipment.add(session, 99, HEATER)
        with pytest.raises(NotFound):
            equipment.retire(session, 99, TODAY)


def test_two_of_a_name_could_not_be_told_apart(record: Record) -> None:
    with record.database.writing() as session:
        first = equipment.add(session, record.tank_id, HEATER)
        with pytest.raises(Refused, match="stands in the list already"):
            equipment.add(session, record.tank_id, replace(HEATER, name=" heater"))
        equipment.add(session, record.tank_id, replace(HEATER, name="Second heater"))
        equipment.retire(session, first, TODAY)
        equipment.add(session, record.tank_id, HEATER)
        assert len(equipment.equipment(session, record.tank_id)) == 3
