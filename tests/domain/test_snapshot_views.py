"""What a snapshot sorts out for the rules: readings by quantity and time, meals by day, signs."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.domain.quantities import Quantity
from app.domain.records import Sign
from tests.situations import at, fed, look, reading, snapshot, warm

NOON = "2027-02-08 12:00"
HOUR = timedelta(hours=1)
EACH_HOUR = [warm(20.0 + n, at(NOON) - (5 - n) * HOUR) for n in range(6)]
TANK = snapshot(NOON, *EACH_HOUR, reading(Quantity.PH, 7.2, NOON))


@pytest.mark.parametrize(
    ("back", "until", "found"),
    [
        (2.0, 0.0, [23.0, 24.0, 25.0]),  # both ends belong to it
        (1.9, 0.1, [24.0]),
        (4.0, 3.0, [21.0, 22.0]),
        (0.9, 0.1, []),
        (9.0, -9.0, [20.0, 21.0, 22.0, 23.0, 24.0, 25.0]),
    ],
)
def test_readings_between_two_moments(back: float, until: float, found: list[float]) -> None:
    first, end = TANK.as_of - back * HOUR, TANK.as_of - until * HOUR
    assert [r.best for r in TANK.between(Quantity.TEMPERATURE, first, end)] == found


def test_each_quantity_has_its_own_readings() -> None:
    assert TANK.of(Quantity.TEMPERATURE) == tuple(EACH_HOUR)
    assert [r.best for r in TANK.of(Quantity.PH)] == [7.2]
    assert TANK.of(Quantity.NITRATE) == ()
    assert TANK.between(Quantity.NITRATE, TANK.as_of - HOUR, TANK.as_of) == ()


def test_a_changed_copy_sorts_anew() -> None:
    assert TANK.of(Quantity.PH)
    later = replace(TANK, readings=(), as_of=TANK.as_of + timedelta(days=1))
    assert later.of(Quantity.PH) == ()
    assert (TANK.today, later.today) == (date(2027, 2, 8), date(2027, 2, 9))


def test_meals_of_a_day_are_those_of_the_wall_calendar() -> None:
    late, early = fed("2027-02-07 23:59"), fed("2027-02-08 00:00")
    tank = snapshot(NOON, late, early)
    assert tank.meals_on(date(2027, 2, 7)) == (late,)
    assert tank.meals_on(date(2027, 2, 8)) == (early,)
    assert tank.meals_on(date(2027, 2, 9)) == ()


def test_the_newest_look_with_a_sign_or_with_a_count() -> None:
    first = look("2027-02-06 09:00", 16, signs=(Sign.GASPING, Sign.WHITE_SPOTS))
    second = look("2027-02-07 09:00", 15, signs=(Sign.GASPING,))
    third = look("2027-02-08 09:00")
    tank = snapshot(NOON, first, second, third)
    assert tank.last_with(Sign.GASPING) == second
    assert tank.last_with(Sign.WHITE_SPOTS) == first
    assert tank.last_counted == second
    assert snapshot(NOON, third).last_with(Sign.GASPING) is None
    assert snapshot(NOON, third).last_counted is None
