"""Hours with less heating on the wall clock, over midnight and across clock changes.

US clock changes 2026/27: 1 November and 14 March (Energy Policy Act of 2005, section 110).
"""

import itertools
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.domain.heating import heated_less, heated_less_at, lowest_setback_c, room_course
from app.domain.tank import Break, DayKind, Setback, Site
from tests.situations import NEW_YORK, SCHOOL, at

NIGHTS = Setback(weekdays=frozenset(range(5)), starts=time(17), ends=time(6), room_c=14.0)
WEEKEND = Setback(weekdays=frozenset({5, 6}), starts=time(), ends=time(), room_c=12.0)
HOURS = timedelta(hours=1)


def site(*setbacks: Setback, **more: object) -> Site:
    return replace(SCHOOL, setbacks=setbacks, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("first", "hours"),
    [("2027-02-11", 13.0), ("2027-03-12", 13.0), ("2026-10-30", 13.0), ("2027-03-15", 13.0)],
)
def test_a_night_goes_over_midnight(first: str, hours: float) -> None:
    begin = at(f"{first} 12:00")
    ((start, end),) = heated_less(site(NIGHTS), begin, begin + 24 * HOURS)
    assert start == at(f"{first} 17:00")
    assert (end - start) / HOURS == hours


@pytest.mark.parametrize(("sunday", "hours"), [("2027-03-14", 23), ("2026-11-01", 25)])
def test_a_whole_sunday_is_as_long_as_the_clocks_make_it(sunday: str, hours: int) -> None:
    only = replace(WEEKEND, weekdays=frozenset({6}))
    midnight = at(f"{sunday} 00:00")
    ((start, end),) = heated_less(site(only), midnight - 12 * HOURS, midnight + 40 * HOURS)
    assert (start, (end - start) / HOURS) == (midnight, hours)


def test_friday_night_and_the_weekend_are_one_time() -> None:
    place = site(NIGHTS, WEEKEND)
    ((start, end),) = heated_less(place, at("2027-02-12 12:00"), at("2027-02-15 12:00"))
    # the weekend ends at midnight, and Monday's own hours begin at 5 pm
    assert (start, end) == (at("2027-02-12 17:00"), at("2027-02-15 00:00"))


def test_where_hours_overlap_the_coldest_counts() -> None:
    place = site(NIGHTS, WEEKEND)
    spans = room_course(place, at("2027-02-12 12:00"), at("2027-02-14 12:00"), 19.0)
    assert [(s.start, s.room_c) for s in spans] == [
        (at("2027-02-12 12:00"), 19.0),
        (at("2027-02-12 17:00"), 14.0),
        (at("2027-02-13 00:00"), 12.0),  # Saturday, though Friday's night goes on until 6 am
    ]
    assert lowest_setback_c(place) == 12.0


def test_a_room_that_nobody_wrote_or_that_is_no_colder_changes_nothing() -> None:
    start, end = at("2027-02-11 12:00"), at("2027-02-12 12:00")
    unknown, warm = replace(NIGHTS, room_c=None), replace(NIGHTS, room_c=19.0)
    assert len(room_course(site(unknown, warm), start, end, 19.0)) == 1
    assert lowest_setback_c(site(unknown)) is None


@pytest.mark.parametrize(
    ("kind", "hours"), [(DayKind.BREAK, 24.0), (DayKind.HOLIDAY, 24.0), (DayKind.STAFF, 0.0)]
)
def test_through_days_without_people_only_where_the_setting_says_so(
    kind: DayKind, hours: float
) -> None:
    day = date(2027, 2, 17)
    off = Break(first_day=day, last_day=day, kind=kind)
    away = Setback(weekdays=frozenset(), starts=time(), ends=time(), room_c=9.0, while_away=True)
    found = [
        heated_less(site(hours_, breaks=(off,)), at("2027-02-17 00:00"), at("2027-02-18 00:00"))
        for hours_ in (away, replace(away, while_away=False))
    ]
    assert sum((e - b) / HOURS for b, e in found[0]) == hours
    assert found[1] == ()


@pytest.mark.parametrize(
    ("moment", "down"),
    [
        ("2027-02-11 16:59", False),
        ("2027-02-11 17:00", True),
        ("2027-02-12 05:59", True),
        ("2027-02-12 07:59", True),  # not two hours after it
        ("2027-02-12 08:00", False),
    ],
)
def test_shortly_after_it_is_still_told(moment: str, down: bool) -> None:
    assert heated_less_at(site(NIGHTS), at(moment), 2 * HOURS) is down


minutes = st.integers(min_value=0, max_value=24 * 60 - 1)
setbacks = st.lists(
    st.builds(
        Setback,
        weekdays=st.frozensets(st.integers(min_value=0, max_value=6)),
        starts=minutes.map(lambda m: time(m // 60, m % 60)),
        ends=minutes.map(lambda m: time(m // 60, m % 60)),
        room_c=st.one_of(st.none(), st.integers(min_value=5, max_value=25).map(float)),
    ),
    max_size=3,
)


@given(setbacks, st.integers(min_value=0, max_value=20 * 24 * 60), st.integers(1, 6 * 24 * 60))
def test_any_moment_has_the_room_that_the_wall_clock_says(
    found: list[Setback], begin: int, offset: int
) -> None:
    start = at("2027-02-20 00:00") + timedelta(minutes=begin)
    moment, end = start + timedelta(minutes=offset), start + timedelta(days=7)
    spans = room_course(site(*found), start, end, 18.0)

    assert (spans[0].start, spans[-1].end) == (start, end)
    assert all(a.end == b.start for a, b in itertools.pairwise(spans))
    (span,) = [s for s in spans if s.start <= moment < s.end]
    # the hour that the clocks skip or double has two answers
    there = moment.astimezone(ZoneInfo(NEW_YORK)).replace(tzinfo=None)
    if there.date() != date(2027, 3, 14):
        rooms = [s.room_c for s in found if s.room_c is not None and _is_down(s, there)]
        assert span.room_c == min([18.0, *rooms])


def _is_down(hours: Setback, there: datetime) -> bool:
    """Worked out from today's and yesterday's start alone."""
    yesterday = (there - timedelta(days=1)).weekday()
    over = hours.ends <= hours.starts
    clock = there.time()
    today = clock >= hours.starts if over else hours.starts <= clock < hours.ends
    if there.weekday() in hours.weekdays and today:
        return True
    return over and yesterday in hours.weekdays and clock < hours.ends
