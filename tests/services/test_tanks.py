"""Setting up: names, ranges, the scoop, copies, the end of a tank."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.domain.drafts import NewStockEvent
from app.domain.errors import NotFound, Refused
from app.domain.quantities import Quantity
from app.domain.records import StockEventKind
from app.domain.tank import CarePlan, PlannedJob, Tank, TankFacts, TankForm, TankShape
from app.services import care_plans, sites, tanks
from app.services.livestock import animals, plants
from app.services.school import school_days
from app.storage import snapshot
from tests.record import ONE_SCOOP, Record

SMALL = TankShape(length_cm=58, width_cm=28)


def test_two_tanks_cannot_share_a_name_however_it_is_written(record: Record) -> None:
    with record.database.writing() as session, pytest.raises(Refused, match="already"):
        tanks.add_tank(session, TankFacts(name="  BROOK ", shape=SMALL))


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
        care_plans.set_plan(session, record.tank_id, CarePlan(water_change_days=10))
        school_days.add(session, sites.FIRST, date(2027, 4, 1), date(2027, 4, 9), "Spring")
        assert tanks.revision(session, record.tank_id) == before + 2
        assert tanks.tank(session, record.tank_id).plan.water_change_days == 10


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


def test_an_unknown_tank_is_told(record: Record) -> None:
    with record.database.writing() as session:
        with pytest.raises(NotFound):
            tanks.tank(session, 99)
        with pytest.raises(NotFound):
            tanks.reopen(session, 99)


def change(record: Record, **more: object) -> Tank:
    """Change a part of what is known about the tank."""
    with record.database.writing() as session:
        draft = tanks.tank(session, record.tank_id).facts
        tanks.change_tank(session, record.tank_id, replace(draft, **more))  # type: ignore[arg-type]
        return tanks.tank(session, record.tank_id)


def test_a_change_of_one_thing_leaves_the_others(record: Record) -> None:
    before = change(record, adult=" Ms. Reed ", adult_phone="555 0100", cover="gap")
    after = change(record, set_point_c=25.0, sun_from="14:00", sun_until="16:30")
    assert (after.adult, after.cover, after.sun_from) == ("Ms. Reed", "gap", "14:00")
    assert replace(after, set_point_c=None, sun_from="", sun_until="") == before


@pytest.mark.parametrize(
    ("more", "why"),
    [
        ({"cover": "lid"}, "covered"),
        ({"sun_from": "14:00"}, "both"),
        ({"sun_from": "14:00", "sun_until": "25:00"}, "time of day"),
        ({"light_on": "8"}, "time of day"),
        ({"food_protein_percent": 100.5}, "percentage"),
        ({"adult_phone": "5" * 41}, "too long"),
    ],
)
def test_what_cannot_be_of_a_tank_is_refused(
    record: Record, more: dict[str, object], why: str
) -> None:
    with pytest.raises(Refused, match=why):
        change(record, **more)


def test_a_copy_has_the_set_up_and_nothing_that_lives_or_happened(record: Record) -> None:
    shape = TankShape(length_cm=60, width_cm=60, form=TankForm.BOWL, base_cm=20)
    old = change(record, shape=shape, adult="Ms. Reed", cover="closed")
    job = PlannedJob(name="outlet_test", every_days=180)
    with record.database.writing() as session:
        care_plans.set_plan(session, old.id, CarePlan(water_change_days=10))
        care_plans.set_job(session, old.id, job)
        tanks.set_range(session, old.id, Quantity.PH, 6.5, 7.5, set_by="Me")
        plants.add(session, old.id, plants.PlantDraft(name="Fern"))
        fresh = tanks.copy_setup(session, old.id, "Brook 2")
        found = snapshot.load(session, [fresh], record.now)[0]
        with pytest.raises(Refused, match="already"):
            tanks.copy_setup(session, old.id, "Brook")
    assert (found.tank.shape, found.tank.cover, found.tank.setting) == (shape, "closed", "class")
    assert (found.tank.plan.water_change_days, found.tank.plan.jobs) == (10, (job,))
    assert [(r.low, r.set_by) for r in found.tank.ranges] == [(6.5, "Me")]
    assert (found.tank.adult, found.tank.started_on, found.tank.mature_on) == ("", None, None)
    assert (found.groups, found.plants, found.equipment) == ((), (), ())


def test_a_tank_is_closed_when_its_animals_are_gone_and_opened_again(record: Record) -> None:
    day = date(2027, 2, 8)
    with record.database.writing() as session:
        with pytest.raises(Refused, match="10 harlequin rasbora, 6 peppered cory"):
            tanks.close(session, record.tank_id, day, now=record.now)
        groups = animals.groups(session, record.tank_id, now=record.now)
    for group in groups:
        left = NewStockEvent(what=StockEventKind.LEFT, group_id=group.id, count=group.count)
        record.write(left)
    with record.database.writing() as session:
        tanks.close(session, record.tank_id, day, now=record.now)
        assert tanks.tank_lines(session) == ()
        assert [line.name for line in tanks.closed_lines(session)] == ["Brook"]

    # what was done until that day can still be added
    record.write(ONE_SCOOP, at=record.now - timedelta(days=1))
    record.pass_time(days=1)
    with pytest.raises(Refused, match="was closed on 2027-02-08"):
        record.write(ONE_SCOOP)
    with record.database.writing() as session:
        tanks.reopen(session, record.tank_id)
    assert record.write(ONE_SCOOP).fresh
