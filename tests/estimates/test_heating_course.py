"""Water that a heater warms while the room changes, against a general solver of equations.

Reference: `scipy.integrate.solve_ivp` on the balance itself, heater minus loss, span by span; the
project has the solution in closed form.
"""

from dataclasses import replace
from datetime import time, timedelta

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from app.domain.heating import RoomSpan, room_course
from app.domain.tank import Setback
from app.estimates.closure import before_nights
from app.estimates.closure_model import Part, Trouble
from app.estimates.heating_course import coldest_of
from app.estimates.room import coldest_known_c, coldest_room
from app.science.heat import WATER_WH_PER_L_C
from tests.estimates.test_closure import AWAY, LEAVES, known
from tests.rules.checks import KNOWLEDGE, plain
from tests.situations import SCHOOL, at

NIGHTS = Setback(weekdays=frozenset(range(5)), starts=time(17), ends=time(6), room_c=12.0)
LITERS = 85.0
HOUR = timedelta(hours=1)


def solved(spans: tuple[RoomSpan, ...], watts: float, loss: float) -> tuple[float, float]:
    """The lowest temperature and the hours until 24.0 °C, by the solver; set to 25 °C."""
    holds = LITERS * WATER_WH_PER_L_C
    water, lowest, hours, below = 25.0, 25.0, 0.0, np.inf
    for span in spans:

        def change(_: float, t: np.ndarray, room: float = span.room_c) -> list[float]:
            wanted = loss * (t[0] - room)
            heat = watts if t[0] < 25.0 else min(watts, max(wanted, 0.0))
            return [(heat - wanted) / holds]

        grid = np.linspace(0.0, span.hours, 200)
        found = solve_ivp(change, (0.0, span.hours), [water], t_eval=grid, max_step=0.25, rtol=1e-7)
        course = np.minimum(found.y[0], 25.0)
        lowest = min(lowest, float(course.min()))
        under = np.flatnonzero(course < 24.0)
        if under.size and np.isinf(below):
            below = hours + float(grid[under[0]])
        water, hours = float(course[-1]), hours + span.hours
    return lowest, below


@pytest.mark.parametrize(("watts", "loss"), [(25.0, 5.0), (50.0, 5.0), (40.0, 4.5)])
def test_it_follows_the_balance(watts: float, loss: float) -> None:
    start = at("2027-02-11 12:00")
    spans = room_course(replace(SCHOOL, setbacks=(NIGHTS,)), start, start + 72 * HOUR, 19.0)
    found = coldest_of(
        spans, target_c=25.0, edge_c=24.0, heater_w=watts, loss_w_per_c=loss,
        constant_h=WATER_WH_PER_L_C * LITERS / loss,
    )  # fmt: skip
    lowest, below = solved(spans, watts, loss)

    assert found.lowest_c == pytest.approx(lowest, abs=0.02)
    assert found.below_at is not None
    assert (found.below_at - start) / HOUR == pytest.approx(below, abs=0.25)


def test_a_heater_that_holds_the_night_never_lets_it_fall() -> None:
    start = at("2027-02-11 12:00")
    spans = room_course(replace(SCHOOL, setbacks=(NIGHTS,)), start, start + 72 * HOUR, 19.0)
    found = coldest_of(
        spans, target_c=25.0, edge_c=24.0, heater_w=66.0, loss_w_per_c=5.0, constant_h=19.8
    )
    assert (found.lowest_c, found.below_at) == (25.0, None)  # 66 W hold 25.2 in a room of 12


def warmth(setback: Setback, coldest: float | None, room_c: float | None = None) -> Part:
    site = replace(SCHOOL, setbacks=(setback,))
    there = known(site=site, facts={"coldest_room_c": coldest})
    found = before_nights(replace(AWAY, room_c=room_c), there, KNOWLEDGE).part(Trouble.WARMTH)
    assert found is not None
    return found


def test_a_break_counts_the_night_and_all_day_only_where_it_is_said() -> None:
    # 50 W and 5.08 W for each °C: 21.8 in a room of 12, 28.8 in one of 19
    nights, always = warmth(NIGHTS, 19.0), warmth(replace(NIGHTS, while_away=True), 19.0)

    assert nights.likely is not None
    assert always.likely is not None
    # Friday 3 pm, then 5 pm; the time constant is 19.5 h: (25 − 21.8) to (24 − 21.8) takes 7.4 h
    assert nights.likely == always.likely
    assert (nights.likely - LEAVES) / HOUR == pytest.approx(2.0 + 7.4, abs=0.1)
    assert nights.back is not None
    assert always.back is not None
    assert nights.back[0] > always.back[0] + 0.5  # by day it comes back a little
    assert "that cold for 13 h at the longest" in plain(nights.estimate.sentence)
    assert "that cold for" in plain(always.estimate.sentence)
    assert "The room at other hours" in [each.title for each in nights.estimate.inputs]


def test_what_is_typed_holds_all_the_time_and_what_is_colder_counts_before_the_hours() -> None:
    assert warmth(NIGHTS, 19.0, room_c=19.0).likely is None
    cold = warmth(NIGHTS, 11.0)
    assert len([i for i in cold.estimate.inputs if i.title == "The room at other hours"]) == 0


@pytest.mark.parametrize(
    ("coldest", "hours", "expected"),
    [(19.0, 12.0, 12.0), (11.0, 12.0, 11.0), (None, 12.0, 12.0), (19.0, None, 19.0)],
)
def test_the_coldest_of_both_is_the_rooms_coldest_hour(
    coldest: float | None, hours: float | None, expected: float
) -> None:
    site = replace(SCHOOL, setbacks=(replace(NIGHTS, room_c=hours),))
    there = known(site=site, facts={"coldest_room_c": coldest})
    assert coldest_known_c(there) == expected
    room = coldest_room(there, None)
    assert room is not None
    assert bool(room.note) is (expected == 12.0)
