"""What the record knows at the steps: sun, weight, warmth, names."""

from dataclasses import replace
from datetime import timedelta

import pytest

from app.domain.snapshot import TankSnapshot
from app.domain.tank import TankShape
from app.services import equipment, set_up, sites, tanks, tasks
from app.services.equipment import EquipmentDraft
from tests.record import Record


def changed(record: Record, **more: object) -> TankSnapshot:
    with record.database.writing() as session:
        facts = tanks.tank(session, record.tank_id).facts
        tanks.change_tank(session, record.tank_id, replace(facts, **more))  # type: ignore[arg-type]
        return tasks.snapshot_of(session, record.tank_id, now=record.now)


def said(snapshot: TankSnapshot, step: str) -> str:
    return "; ".join(set_up.known_at_steps(snapshot)[step]).replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("start", "end", "hours"),
    [("14:00", "16:30", 2.5), ("23:30", "00:30", 1.0), ("08:00", "08:00", 0.0), ("", "", None)],
)
def test_hours_of_sun(record: Record, start: str, end: str, hours: float | None) -> None:
    tank = changed(record, sun_from=start, sun_until=end).tank
    expected = None if hours is None else timedelta(hours=hours)
    assert set_up.sun_on_glass(tank) == expected


def test_the_place_tells_sun_cold_outlet_and_weight(record: Record) -> None:
    """By hand: 78 × 34 × 36 cm less 7.96 L of grains and 2.5 L of stones are 85.0 L; the bed is
    78 × 34 × 5 cm = 13.26 L, and 1.55 kg/L of it 20.6 kg: 105.6 kg in all."""
    with record.database.writing() as session:
        draft = EquipmentDraft(kind="outlet", name="Left outlet")
        equipment.add(session, record.tank_id, draft)
    snapshot = changed(record, sun_from="14:00", sun_until="16:00", coldest_room_c=14.0)
    assert said(snapshot, "starting.place") == (
        "2 h of sun on the glass; the room’s coldest hour 14.0 °C; Left outlet; "
        "water and sand 106 kg (233 lb); glass, stones and stand on top"
    )


def test_nothing_is_said_of_what_nobody_wrote(record: Record) -> None:
    snapshot = changed(record, shape=TankShape(length_cm=78, width_cm=34))
    assert said(snapshot, "starting.place") == ""
    assert said(snapshot, "starting.sand") == ""
    assert said(snapshot, "starting.people") == ""
    assert set_up.water_and_sand_kg(snapshot) is None


def test_a_household_reads_its_own_units(record: Record) -> None:
    with record.database.writing() as session:
        known = sites.SiteDraft(
            name="Hill School", zone="America/New_York", fahrenheit=True, us_gallons=True
        )
        sites.set_site(session, known)
    snapshot = changed(record, coldest_room_c=14.0, set_point_c=25.0)
    assert "the room’s coldest hour 57.2 °F" in said(snapshot, "starting.place")
    assert "set to 77.0 °F" in said(snapshot, "starting.heater")
    assert "22.5 US gal of water" in said(snapshot, "starting.water")


def test_people_and_whether_they_can_be_called(record: Record) -> None:
    snapshot = changed(record, adult="Teacher", adult_phone="555 0100", deputy="Caretaker")
    assert said(snapshot, "starting.people") == (
        "in charge: Teacher; deputy: Caretaker, without a phone number"
    )


def test_who_still_lives_there_stands_at_the_animals_steps(record: Record) -> None:
    snapshot = changed(record)
    assert said(snapshot, "closing.homes") == "10 harlequin rasbora; 6 peppered cory"
