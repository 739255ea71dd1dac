"""How nitrate goes on from meal to meal and change to change, against closed forms.

A value that gains the same each day and loses the same share at each change ends where the fixed
point of dilution lies, wherever it began: arithmetic, as in `tests.science.test_dilution`.
"""

from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.domain.records import JobKind
from app.estimates.nitrate import pace_of
from app.estimates.nitrate_course import DAY, Change, Course, Gain, course, daily, planned_changes
from app.estimates.nitrate_forecast import expected, forecast
from app.science.dilution import after_change, settles_at
from tests.estimates.test_nitrate import by_meter, meals, written
from tests.rules.checks import KNOWLEDGE
from tests.situations import at, job

START = at("2027-01-04 08:00")
MINUTE = timedelta(minutes=1)
AMOUNT = st.floats(0.0, 80.0)
EVENTS = st.lists(
    st.tuples(st.floats(0.1, 60.0), st.booleans(), st.floats(0.0, 0.9)), max_size=20
).map(
    lambda rows: [
        Gain(START + DAY * day, 5.0 * size) if is_gain else Change(START + DAY * day, size)
        for day, is_gain, size in rows
    ]
)


def value(found: Course, start: float, pace: float, row: int = -1) -> float:
    """What the course is at a moment for a start and a pace."""
    return float(start * found.kept[row] + pace * found.gained[row] + found.known[row])


@settings(max_examples=25, deadline=None)
@given(
    start=AMOUNT, tap=st.floats(0.0, 40.0), pace=st.floats(0.0, 2.0),
    share=st.floats(0.15, 0.9), every=st.integers(1, 14),
)  # fmt: skip
def test_walked_for_years_it_ends_where_dilution_settles(
    start: float, tap: float, pace: float, share: float, every: int
) -> None:
    turns = 120  # of the least share nothing is left then: 0.85 to the 120th is 3e-9
    changes = [Change(START + DAY * every * (n + 1), share) for n in range(turns)]
    last = changes[-1].at
    found = course(START, [last - MINUTE, last], [*daily(START, every * turns, 1.0), *changes], tap)
    settled = settles_at(tap, pace * every, share)

    assert value(found, start, pace, 0) == pytest.approx(settled.before_change, abs=1e-5)
    assert value(found, start, pace, 1) == pytest.approx(settled.after_change, abs=1e-5)


def test_the_forecast_of_a_habit_ends_at_its_settle_points() -> None:
    """The same pace leads to both: low, best and high of the fan end at low, best and high."""
    done = job(JobKind.WATER_CHANGE, "2027-02-12 17:00", liters_out=21.25, liters_in=21.25)
    record = written(*meals(), *by_meter(9.0, 12.0, 15.0, 18.0), done)
    pace = pace_of(record, KNOWLEDGE)
    assert pace is not None
    last = planned_changes(record, 700)[-1].at
    before, after = expected([last - MINUTE, last], pace, record)
    settles = forecast(record, KNOWLEDGE).settles

    for point, fan in (("before_change", before), ("after_change", after)):
        wanted = [getattr(settled, point) for settled in settles]
        # the weights are counted in steps, of which the range holds about a thousand
        assert [fan.low, fan.best, fan.high] == pytest.approx(wanted, abs=0.05)


@given(events=EVENTS, start=AMOUNT, pace=st.floats(-0.5, 2.0), tap=AMOUNT, day=st.floats(0.1, 60.0))
def test_a_course_in_two_parts_is_the_course_as_a_whole(
    events: list[Gain | Change], start: float, pace: float, tap: float, day: float
) -> None:
    halfway, end = START + DAY * day, START + DAY * 61
    first = value(course(START, [halfway], events, tap), start, pace)
    then = value(course(halfway, [end], events, tap), first, pace)

    assert then == pytest.approx(value(course(START, [end], events, tap), start, pace), abs=1e-9)


@given(events=EVENTS, start=AMOUNT, tap=AMOUNT)
def test_one_by_one_every_meal_adds_and_every_change_mixes(
    events: list[Gain | Change], start: float, tap: float
) -> None:
    by_hand = start
    for event in sorted(events, key=lambda each: each.at):
        is_gain = isinstance(event, Gain)
        by_hand = by_hand + event.amount if is_gain else after_change(by_hand, tap, event.share)  # type: ignore[union-attr]
    found = course(START, [START + DAY * 61], events, tap)

    assert value(found, start, 1.0) == pytest.approx(by_hand, abs=1e-9)


@given(events=EVENTS)
def test_what_is_left_of_the_start_never_grows(events: list[Gain | Change]) -> None:
    found = course(START, [START + DAY * day for day in range(62)], events, 5.0)

    assert (np.diff(found.kept) <= 0.0).all()
    assert 0.0 <= found.kept[-1] <= found.kept[0] == 1.0


def test_what_happened_before_the_start_is_in_the_start() -> None:
    earlier: list[Gain | Change] = [Gain(START - DAY, 4.0), Change(START, 0.5)]

    assert value(course(START, [START + DAY], earlier, 5.0), 20.0, 1.0) == 20.0
