"""Setting up: names, ranges, plans, kits, the scoop, and a move to another time zone."""

from datetime import UTC, date, datetime

import pytest
from sqlalchemy import select

from app.domain.errors import NotFound, Refused
from app.domain.quantities import Quantity
from app.domain.records import CarePlan, TankShape
from app.services import tanks
from app.storage import snapshot
from app.storage.models.entry import Entry
from tests.record import ONE_SCOOP, Record

SMALL = TankShape(length_cm=58, width_cm=28)


def test_two_tanks_cannot_share_a_name_however_it_is_written(record: Record) -> None:
    with record.database.writing() as session, pytest.raises(Refused, match="already"):
        tanks.add_tank(session, tanks.TankDraft(name="  BROOK ", shape=SMALL))


def test_a_tanks_own_range_comes_back_and_can_be_given_up(record: Record) -> None:
    with record.database.writing() as session:
        tanks.set_range(session, record.tank_id, Quantity.TEMPERATURE, 23, 26, set_by="Me")
        own = tanks.tank(session, record.tank_id).own_range(Quantity.TEMPERATURE)
        assert own is not None
        assert (own.low, own.high, own.set_by) == (23, 26, "Me")

        tanks.set_range(session, record.tank_id, Quantity.TEMPERATURE, None, None, set_by="Me")
        assert tanks.tank(session, record.tank_id).own_range(Quantity.TEMPERATURE) is None


def test_a_range_upside_down_is_refused(record: Record) -> None:
    with record.database.writing() as session, pytest.raises(Refused, match="below the high"):
        tanks.set_range(session, record.tank_id, Quantity.PH, 8, 7, set_by="Me")


def test_every_change_raises_the_tanks_revision(record: Record) -> None:
    with record.database.writing() as session:
        before = tanks.revision(session, record.tank_id)
        tanks.set_plan(session, record.tank_id, CarePlan(water_change_days=10))
        tanks.add_break(session, date(2027, 4, 1), date(2027, 4, 9), "Spring")
        assert tanks.revision(session, record.tank_id) == before + 2
        assert tanks.tank(session, record.tank_id).plan.water_change_days == 10


def test_card_colors_must_ascend(record: Record) -> None:
    draft = tanks.KitDraft(
        quantity=Quantity.NITRATE, name="card", unit="mg/L", basis="as nitrate", steps=(0, 10, 5)
    )
    with record.database.writing() as session, pytest.raises(Refused, match="lowest"):
        tanks.add_kit(session, draft)


def test_old_meals_keep_what_the_scoop_weighed_then(record: Record) -> None:
    with record.database.writing() as session:
        assert tanks.weigh_scoop(session, record.tank_id, 2.4, 20, now=record.now) == pytest.approx(
            0.12
        )
    record.write(ONE_SCOOP)
    record.pass_time(days=1)
    with record.database.writing() as session:
        tanks.weigh_scoop(session, record.tank_id, 1.5, 10, now=record.now)
    record.write(ONE_SCOOP)

    with record.database.reading() as session:
        meals = snapshot.load(session, [record.tank_id], record.now)[0].feedings
    assert [meal.grams for meal in meals] == pytest.approx([0.12, 0.15])


def test_a_new_time_zone_moves_entries_to_their_local_day(record: Record) -> None:
    late = datetime(2027, 2, 7, 3, 30, tzinfo=UTC)  # Saturday evening in New York
    saved = record.write(ONE_SCOOP, at=late)
    with record.database.writing() as session:
        tanks.set_site(session, tanks.SiteDraft(name="Hill School", zone="Europe/Berlin"))
        day = session.scalar(select(Entry.local_day).where(Entry.id == saved.entry_id))
    assert day == date(2027, 2, 7)


def test_an_unknown_zone_and_an_unknown_tank_are_told(record: Record) -> None:
    with record.database.writing() as session:
        with pytest.raises(Refused, match="no time zone"):
            tanks.set_site(session, tanks.SiteDraft(name="School", zone="Moon/Base"))
        with pytest.raises(NotFound):
            tanks.tank(session, 99)
