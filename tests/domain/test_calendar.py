"""Local days, clock changes and days present, against the zone database of the system."""

from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain import calendar
from app.domain.tank import Break, Site

NEW_YORK = "America/New_York"
SCHOOL = Site(
    name="School",
    zone=NEW_YORK,
    present_weekdays=frozenset(range(5)),
    breaks=(Break(first_day=date(2026, 12, 21), last_day=date(2027, 1, 1)),),
)


def test_the_local_day_is_the_tanks_not_utcs() -> None:
    assert calendar.local_day(datetime(2027, 2, 9, 3, tzinfo=UTC), NEW_YORK) == date(2027, 2, 8)


# US clock changes 2026/27: 1 November and 14 March (Energy Policy Act of 2005, section 110)
@pytest.mark.parametrize(
    ("day", "change"),
    [
        (date(2026, 11, 1), timedelta(hours=-1)),
        (date(2027, 3, 14), timedelta(hours=1)),
        (date(2026, 10, 31), None),
        (date(2027, 3, 15), None),
    ],
)
def test_the_days_on_which_the_clocks_move(day: date, change: timedelta | None) -> None:
    assert calendar.clock_change_on(day, NEW_YORK) == change


def test_half_past_one_twice_stays_in_true_order() -> None:
    naive = datetime(2026, 11, 1, 1, 30)
    first = calendar.wall_time(naive, NEW_YORK)
    second = calendar.wall_time(naive, NEW_YORK, later=True)

    assert calendar.is_doubled(naive, NEW_YORK)
    assert second - first == timedelta(hours=1)


def test_the_skipped_hour_is_refused_and_its_edges_are_not() -> None:
    with pytest.raises(ValueError, match="did not exist"):
        calendar.wall_time(datetime(2027, 3, 14, 2, 30), NEW_YORK)
    assert not calendar.is_doubled(datetime(2027, 3, 14, 2, 30), NEW_YORK)
    assert calendar.wall_time(datetime(2027, 3, 14, 1, 59), NEW_YORK)
    assert calendar.wall_time(datetime(2027, 3, 14, 3, 0), NEW_YORK)


def test_a_meal_at_the_same_wall_time_is_23_or_25_hours_later_across_a_change() -> None:
    def at(day: int, month: int, year: int) -> datetime:
        return calendar.wall_time(datetime(year, month, day, 8, 30), NEW_YORK)

    assert at(1, 11, 2026) - at(31, 10, 2026) == timedelta(hours=25)
    assert at(14, 3, 2027) - at(13, 3, 2027) == timedelta(hours=23)


@pytest.mark.parametrize(
    ("day", "comes"),
    [
        (date(2026, 12, 18), True),
        (date(2026, 12, 19), False),
        (date(2026, 12, 21), False),
        (date(2027, 1, 1), False),
        (date(2027, 1, 4), True),
    ],
)
def test_nobody_comes_on_weekends_and_in_breaks(day: date, comes: bool) -> None:
    assert calendar.somebody_comes(SCHOOL, day) is comes


def test_days_present_are_counted_after_the_first_day_and_with_the_last() -> None:
    friday, monday = date(2027, 2, 5), date(2027, 2, 8)
    assert calendar.present_days_since(SCHOOL, friday, monday) == 1
    assert calendar.present_days_since(SCHOOL, monday, monday) == 0


@given(
    st.datetimes(datetime(2000, 1, 1), datetime(2035, 1, 1), timezones=st.just(UTC)),
    st.sampled_from(
        [NEW_YORK, "Europe/London", "Australia/Lord_Howe", "Pacific/Apia", "Asia/Kathmandu"]
    ),
)
def test_the_next_midnight_is_ahead_and_on_the_next_day(moment: datetime, zone: str) -> None:
    midnight = calendar.next_midnight(moment, zone)

    assert moment < midnight <= moment + timedelta(hours=50)
    assert calendar.local_day(midnight, zone) > calendar.local_day(moment, zone)
