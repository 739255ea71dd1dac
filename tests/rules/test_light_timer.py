"""The light timer after the clocks changed."""

from datetime import date

import pytest

from app.domain.records import JobKind
from tests.rules.checks import found, severity
from tests.situations import HOME, job, look, snapshot, tank


@pytest.mark.parametrize(
    ("now", "asked"),
    [
        ("2026-10-31 23:59", False),
        ("2026-11-01 00:01", True),
        ("2026-11-20 09:00", True),
        ("2027-03-14 09:00", True),
    ],
)
def test_the_light_timer_after_the_clocks_changed(now: str, asked: bool) -> None:
    """New York: clocks go back on 1 November 2026 and forward on 14 March 2027."""
    spring = job(JobKind.LIGHT_TIMER, "2026-03-08 09:00")
    autumn = () if now < "2027" else (job(JobKind.LIGHT_TIMER, "2026-11-02 09:00"),)
    day = snapshot(now, spring, *autumn, look("2026-10-30 09:00"), site=HOME)
    assert bool(found(day, "maintenance.light-timer")) is asked


def test_the_answer_and_a_tank_that_came_later_end_the_question() -> None:
    night = "2026-11-05 09:00"
    answered = job(JobKind.LIGHT_TIMER, "2026-11-01 10:00")
    rule = "maintenance.light-timer"
    assert found(snapshot(night, answered), rule) == []
    assert found(snapshot(night, tank=tank(started_on=date(2026, 11, 1))), rule) == []
    assert found(snapshot(night, tank=tank(started_on=date(2026, 10, 31))), rule) != []


@pytest.mark.parametrize(
    ("started", "asked"), [(date(2026, 10, 31), True), (date(2026, 11, 2), False)]
)
def test_a_tank_filled_after_the_clocks_changed_is_not_asked(started: date, asked: bool) -> None:
    found = severity(
        snapshot("2026-11-03 09:00", tank=tank(started_on=started)), "maintenance.light-timer"
    )
    assert (found is not None) is asked
