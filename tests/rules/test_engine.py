"""Days in the life of a tank, from the first look at the page to the last task."""

from dataclasses import replace
from datetime import timedelta

import pytest

from app.domain.quantities import Quantity
from app.domain.records import JobKind, Sign
from app.rules.model import State
from tests.rules.checks import found, judged, plain, task
from tests.situations import (
    HOME,
    Thing,
    at,
    calm,
    fed,
    job,
    look,
    metered,
    reading,
    snapshot,
    tank,
    warm,
)

MONDAY = "2027-02-01 08:05"
ROUTINE = (
    JobKind.SIPHON,
    JobKind.GLASS,
    JobKind.EQUIPMENT_CHECK,
    JobKind.OUTLET_TEST,
    JobKind.KIT_CHECK,
    JobKind.STOCK_REVIEW,
)


def friday() -> tuple[Thing, ...]:
    """A school tank's week until Friday afternoon, 29 January 2027."""
    return (
        look("2027-01-29 15:10", 16, expected=16),
        warm(24.9, "2027-01-29 15:10"),
        fed("2027-01-29 08:41"),
        *metered("2027-01-29 09:00", ammonia=0.0, nitrite=0.0, nitrate=20.0, ph=7.4),
        job(JobKind.WATER_CHANGE, "2027-01-28 14:00", liters_out=21.3),
        job(JobKind.FILTER_RINSE, "2027-01-20 14:00"),
        *(job(kind, "2027-01-28 15:00") for kind in ROUTINE),
        job(JobKind.LIGHT_TIMER, "2026-11-02 08:00"),
    )


def test_monday_morning_nobody_knows_and_the_first_task_is_to_look() -> None:
    monday = judged(snapshot(MONDAY, *friday()))
    assert monday.state is State.DONT_KNOW
    assert monday.tasks[0].action.title == "Look and count"
    text = plain(monday.rest_line)
    assert "Last looked at Friday 3:10 pm, 2 days 16 h 55 min ago." in text
    assert "Nobody was meant to come on the weekend." in text
    assert found(snapshot(MONDAY, *friday()), "feeding.nobody-fed") == []


def test_after_the_count_and_a_temperature_monday_is_steady() -> None:
    counted = snapshot(
        "2027-02-01 08:15", *friday(), look("2027-02-01 08:10", 16), warm(24.6, "2027-02-01 08:10")
    )
    assert judged(counted).state is State.STEADY
    assert judged(counted).tasks == ()


def test_nitrate_past_its_shelf_life_keeps_the_tank_at_watch() -> None:
    old = [t for t in friday() if getattr(t, "quantity", None) is not Quantity.NITRATE]
    monday = judged(
        snapshot(
            "2027-02-01 08:15",
            *old,
            reading(Quantity.NITRATE, 20.0, "2027-01-15 08:00"),
            look("2027-02-01 08:10", 16),
            warm(24.6, "2027-02-01 08:10"),
        )
    )
    assert monday.state is State.WATCH
    assert monday.tasks[0].action.title == "Test nitrate"
    assert "nitrate" in monday.rest_line


def test_act_comes_before_dont_know_and_watch_after_it() -> None:
    act = judged(snapshot(MONDAY, *friday(), *metered("2027-02-01 08:00", nitrate=80.0)))
    assert act.state is State.ACT
    watch = judged(snapshot(MONDAY, *friday(), *metered("2027-02-01 08:00", nitrate=40.0)))
    assert watch.state is State.DONT_KNOW


def test_an_emergency_hides_routine_except_the_look() -> None:
    gasping = look("2027-02-01 08:00", None, signs=(Sign.GASPING,))
    old = [t for t in friday() if getattr(t, "job", None) is not JobKind.WATER_CHANGE]
    late = job(JobKind.WATER_CHANGE, "2027-01-11 14:00", liters_out=21.3)
    keys = [t.key for t in judged(snapshot("2027-02-02 08:05", *old, late, gasping)).tasks]
    assert keys[0] == "sign-gasping"
    assert "look" in keys
    assert "water-change" not in keys
    assert task(snapshot("2027-02-02 08:05", *old, late), "water-change") is not None


def test_it_holds_until_the_earliest_shelf_life_or_midnight() -> None:
    things = calm("2027-02-03 09:00")
    assert judged(snapshot("2027-02-03 09:00", *things)).holds_until == at("2027-02-04 00:00")
    old = reading(Quantity.CHLORINE, 0.0, "2027-02-03 08:00")
    short = [t for t in things if getattr(t, "quantity", None) is not Quantity.NITRATE]
    nitrate = reading(Quantity.NITRATE, 20.0, "2027-01-20 10:00")
    held = judged(snapshot("2027-02-03 09:00", *short, old, nitrate))
    assert held.holds_until == at("2027-02-03 10:00")


def test_what_it_says_does_not_change_before_holds_until_and_may_at_it() -> None:
    things = calm("2027-02-03 09:00")
    now = snapshot("2027-02-03 09:00", *things)
    until = judged(now).holds_until
    assert judged(replace(now, as_of=until - timedelta(seconds=1))).state is State.STEADY
    assert judged(replace(now, as_of=until)).state is State.DONT_KNOW


def test_an_empty_new_tank_is_dont_know_and_asks_for_a_look_and_its_first_step() -> None:
    new = judged(
        snapshot("2027-02-03 09:00", groups=(), tank=tank(started_on=None, mature_on=None))
    )
    assert new.state is State.DONT_KNOW
    assert [t.key for t in new.tasks] == ["look", "starting"]


def test_home_on_saturday_is_a_day_like_any_other() -> None:
    saturday = "2027-02-06 09:00"
    assert judged(snapshot(saturday, *calm(saturday), site=HOME)).state is State.STEADY
    sunday = snapshot("2027-02-07 09:00", *calm(saturday), site=HOME)
    assert judged(sunday).state is State.DONT_KNOW


@pytest.mark.parametrize(("value", "state"), [(15.0, State.ACT_NOW), (24.6, State.STEADY)])
def test_fifteen_degrees_ask_for_help_now(value: float, state: State) -> None:
    things = [t for t in calm(MONDAY) if getattr(t, "quantity", None) is not Quantity.TEMPERATURE]
    assert judged(snapshot(MONDAY, *things, warm(value, "2027-02-01 08:00"))).state is state
