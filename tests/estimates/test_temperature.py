"""What the thermometer will show next, from tanks whose last days are invented."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime, timedelta

import pytest

from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.estimates.model import NOT_MEASURED, Estimate
from app.estimates.temperature import A_WEEK, temperature_at
from tests.rules.checks import KNOWLEDGE
from tests.situations import HOME, at, snapshot, warm

WHEN = "2027-02-12 18:00"
NOW = at(WHEN)
DAY = timedelta(days=1)
TO_AND_FRO = [25.0 + (0.4 if day % 2 else -0.4) for day in range(20)]
RISING = [20.0 + 0.3 * day for day in range(20)]


def each_day(values: Sequence[float], last: datetime = NOW) -> list[Reading]:
    """A reading on each of the last days at the same time, the last one at `last`."""
    return [warm(value, last - DAY * ago) for ago, value in enumerate(reversed(values))]


def record(*readings: Reading) -> TankSnapshot:
    return snapshot(WHEN, *readings)


def ahead(*readings: Reading, days: float = 1.0) -> Estimate:
    return temperature_at(NOW + DAY * days, record(*readings), KNOWLEDGE)


def test_a_tank_that_swings_around_its_set_point_is_expected_there() -> None:
    """The same as last time would be 0.8 °C off each day, the level of the last days half of it."""
    found = ahead(*each_day(TO_AND_FRO))

    assert found.best == pytest.approx(25.0, abs=0.15)
    assert found.low < 24.6
    assert found.high > 25.4


def test_a_tank_that_follows_the_season_is_expected_as_last_time() -> None:
    found = ahead(*each_day(RISING))

    assert found.best == pytest.approx(RISING[-1])
    # every step before was 0.3
    assert (found.low, found.high) == pytest.approx((RISING[-1] - 0.3, RISING[-1] + 0.3))


def test_a_week_ahead_is_less_sure_than_a_day() -> None:
    readings = each_day(RISING)
    day, week = ahead(*readings), ahead(*readings, days=7)

    # seven steps of 0.3
    assert week.high - week.best == pytest.approx(2.1)
    assert week.width > 6.0 * day.width


def test_one_step_of_the_thermometer_is_the_least() -> None:
    found = ahead(*each_day([25.0] * 20))

    assert (found.low, found.best, found.high) == pytest.approx((24.9, 25.0, 25.1))


def test_readings_at_another_time_of_day_are_left_out_where_both_were_taken() -> None:
    """Two degrees warmer under the lamp at noon: what comes at 6 pm follows from 6 pm."""
    evening = each_day([24.0] * 12)
    noon = each_day([26.0] * 12, NOW - timedelta(hours=6))

    assert ahead(*evening, *noon).best == pytest.approx(24.0)
    assert ahead(*evening, *noon, days=0.75).best == pytest.approx(26.0)


def test_days_without_a_reading_are_stepped_over() -> None:
    """Every second day: a day ahead nothing is as long, two days ahead all steps are."""
    readings = each_day(RISING)[::2]

    assert not ahead(*readings).known
    assert ahead(*readings, days=2).best == pytest.approx(RISING[-1])


@pytest.mark.parametrize(("days", "is_known"), [(7, True), (6, False), (1, False), (0, False)])
def test_a_week_of_days_is_the_least(days: int, is_known: bool) -> None:
    found = ahead(*each_day([25.0] * days))

    assert found.known is is_known
    assert (A_WEEK in found.missing) is not is_known
    assert is_known or A_WEEK in found.sentence


def test_what_is_old_or_doubtful_does_not_count() -> None:
    week = each_day([25.0] * 7)
    doubtful = [replace(each, kit_doubtful=True) for each in week]
    old = each_day([25.0] * 7, NOW - 36 * DAY)

    assert not ahead(*doubtful).known
    assert not ahead(*old).known
    assert ahead(*week, *old).known


def test_it_says_that_it_was_not_measured_in_the_unit_of_the_household() -> None:
    found = ahead(*each_day([25.0] * 20))
    there = replace(record(*each_day([25.0] * 20)), site=replace(HOME, fahrenheit=True))
    fahrenheit = temperature_at(NOW + DAY, there, KNOWLEDGE)

    assert NOT_MEASURED in found.sentence
    assert "About 25.0\u00a0°C" in found.sentence
    assert "About 77.0\u00a0°F" in fahrenheit.sentence
    assert [each.name for each in found.inputs] == ["temperature", "off", "steps"]
