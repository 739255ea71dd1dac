"""Staff days and holidays: who comes, what rests, what is asked all the same.

That a staff day takes pupils away and brings nobody is our own choice.
"""

from dataclasses import replace
from datetime import date

import pytest

from app.domain.calendar import comes, pupils_come, somebody_comes
from app.domain.quantities import Quantity
from app.domain.records import JobKind
from app.domain.tank import Break, CarePlan, DayKind, PlannedJob, Site
from app.rules.breaks import cover_step, stretches_at
from app.rules.look import last_looked
from app.rules.meal import is_feed_day
from app.rules.model import MealState, Severity, State
from tests.rules.checks import KNOWLEDGE, judged, severity, task
from tests.situations import SCHOOL, calm, job, look, reading, snapshot, tank

FRIDAY = date(2027, 2, 12)
NOON = "2027-02-12 12:00"


def off(first: date, last: date, kind: DayKind, name: str = "") -> Break:
    return Break(first_day=first, last_day=last, name=name, kind=kind)


def school(*days: Break) -> Site:
    return replace(SCHOOL, breaks=days)


STAFF = school(off(FRIDAY, FRIDAY, DayKind.STAFF, "Staff day"))


@pytest.mark.parametrize(
    ("days", "adults", "pupils"),
    [
        ((), True, True),
        ((off(FRIDAY, FRIDAY, DayKind.STAFF),), True, False),
        ((off(FRIDAY, FRIDAY, DayKind.HOLIDAY),), False, False),
        ((off(FRIDAY, FRIDAY, DayKind.BREAK),), False, False),
        # a holiday on a staff day: nobody comes
        ((off(FRIDAY, FRIDAY, DayKind.STAFF), off(FRIDAY, FRIDAY, DayKind.HOLIDAY)), False, False),
        ((off(date(2027, 2, 11), date(2027, 2, 11), DayKind.STAFF),), True, True),
        ((off(date(2027, 2, 13), date(2027, 2, 13), DayKind.STAFF),), True, True),
    ],
)
def test_who_comes(days: tuple[Break, ...], adults: bool, pupils: bool) -> None:
    site = school(*days)
    assert (somebody_comes(site, FRIDAY), pupils_come(site, FRIDAY)) == (adults, pupils)
    assert [comes(site, FRIDAY, who) for who in ("", "adult", "helper")] == [adults, adults, pupils]


def test_a_staff_day_on_a_weekend_brings_nobody() -> None:
    saturday = date(2027, 2, 13)
    assert not somebody_comes(school(off(saturday, saturday, DayKind.STAFF)), saturday)


@pytest.mark.parametrize(
    ("who", "state"),
    [("", MealState.NOT_FED), ("adult", MealState.NOT_FED), ("helper", MealState.NO_FOOD)],
)
def test_pupils_alone_do_not_feed_on_a_staff_day(who: str, state: MealState) -> None:
    plan = CarePlan(jobs=(PlannedJob(name="feed", who=who),))
    now = snapshot("2027-02-12 09:00", look("2027-02-12 08:00"), site=STAFF, tank=tank(plan=plan))
    assert judged(now).meal.state is state
    thursday = date(2027, 2, 11)
    assert is_feed_day(now, thursday)


@pytest.mark.parametrize(
    ("site", "who", "asked"),
    [
        (STAFF, "helper", False),
        (STAFF, "", True),
        (STAFF, "adult", True),
        (SCHOOL, "helper", True),
    ],
)
def test_a_job_of_pupils_rests_on_a_staff_day(site: Site, who: str, asked: bool) -> None:
    plan = CarePlan(jobs=(PlannedJob(name="glass", who=who),))
    things = [t for t in calm(NOON) if getattr(t, "job", None) is not JobKind.GLASS]
    wiped = job(JobKind.GLASS, "2027-01-12 12:00")
    found = task(snapshot(NOON, *things, wiped, site=site, tank=tank(plan=plan)), "routine-glass")
    assert (found is not None) is asked


def test_what_presses_and_the_look_are_for_whoever_is_there() -> None:
    jobs = tuple(PlannedJob(name=name, who="helper") for name in ("look", "water_change"))
    known = tank(plan=CarePlan(jobs=jobs))
    high = reading(Quantity.NITRATE, 120.0, "2027-02-12 11:00")
    now = snapshot(NOON, high, site=STAFF, tank=known)

    assert judged(now).state is State.ACT
    change, looking = task(now, "water-change"), task(now, "look")
    assert change is not None
    assert change.severity >= Severity.ACT
    assert looking is not None
    assert looking.who == ""
    same_day = task(replace(now, site=SCHOOL), "look")
    assert same_day is not None
    assert same_day.who == "helper"


def test_a_look_keeps_through_a_holiday_and_not_through_a_staff_day() -> None:
    seen = look("2027-02-10 15:00", 16)
    states = {}
    for kind in (DayKind.HOLIDAY, DayKind.STAFF):
        site = school(off(date(2027, 2, 11), date(2027, 2, 11), kind, "Founders’ Day"))
        now = snapshot("2027-02-11 09:00", seen, site=site)
        states[kind] = judged(now).state
        after = snapshot("2027-02-12 09:00", seen, site=site)
        named = "during Founders’ Day" in last_looked(after)
        assert named is (kind is DayKind.HOLIDAY)
    assert states[DayKind.STAFF] is State.DONT_KNOW
    assert states[DayKind.HOLIDAY] is not State.DONT_KNOW


PLAN = "breaks.plan"
MONDAY, TUESDAY = date(2027, 3, 15), date(2027, 3, 16)


@pytest.mark.parametrize(
    ("kind", "last", "expected"),
    [
        (DayKind.HOLIDAY, MONDAY, None),  # with the weekend three days
        (DayKind.HOLIDAY, TUESDAY, Severity.ACT),  # four
        (DayKind.STAFF, date(2027, 3, 26), None),
    ],
)
def test_a_long_holiday_wants_cover_and_staff_days_do_not(
    kind: DayKind, last: date, expected: Severity | None
) -> None:
    site = school(off(MONDAY, last, kind))
    assert severity(snapshot("2027-03-12 09:00", site=site), PLAN) is expected
    assert len(stretches_at(site, KNOWLEDGE)) == (0 if expected is None else 1)


def test_a_holiday_within_a_break_is_part_of_it() -> None:
    spring = off(MONDAY, date(2027, 3, 26), DayKind.BREAK, "Spring")
    within = off(date(2027, 3, 22), date(2027, 3, 22), DayKind.HOLIDAY, "A day in spring")
    site = school(within, spring)
    (stretch,) = stretches_at(site, KNOWLEDGE)
    assert (stretch.away, stretch.breaks, stretch.days) == (spring, (spring, within), 16)
    for done in (spring, within):
        ticked = job(JobKind.STEP, "2027-03-01 09:00", step=cover_step(done))
        assert severity(snapshot("2027-03-12 09:00", ticked, site=site), PLAN) is None
    assert severity(snapshot("2027-03-12 09:00", site=site), PLAN) is Severity.ACT
