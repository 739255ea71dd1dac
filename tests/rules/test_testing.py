"""Tests that are due. Weekly tests are common practice; shelf lives our own choice."""

from datetime import date, timedelta

import pytest

from app.domain.quantities import Quantity
from app.domain.tank import CarePlan, PlannedJob
from app.rules.model import Severity
from tests.rules.checks import found, severity, task
from tests.situations import Thing, at, metered, reading, snapshot, tank

NOW = "2027-02-12 09:00"
YOUNG = tank(started_on=date(2027, 1, 10), mature_on=None)


@pytest.mark.parametrize(
    ("days", "expected"),
    [(6, None), (7, Severity.INFO), (13, Severity.INFO), (14, Severity.WATCH)],
)
def test_a_test_after_its_interval_and_past_its_shelf_life(
    days: int, expected: Severity | None
) -> None:
    taken = at(NOW) - timedelta(days=days)
    tests = [
        reading(q, 7.0 if q is Quantity.PH else 0.0, taken)
        for q in (Quantity.AMMONIA, Quantity.NITRITE, Quantity.NITRATE, Quantity.PH)
    ]
    assert severity(snapshot(NOW, *tests), "water.test-due") is expected
    asked = task(snapshot(NOW, *tests), "test")
    if expected:
        assert asked is not None
        assert asked.action.title == "Test pH, ammonia, nitrite and nitrate"


def test_never_tested_with_fish_and_without() -> None:
    assert severity(snapshot(NOW), "water.test-due") is Severity.WATCH
    assert severity(snapshot(NOW, groups=()), "water.test-due") is None
    plan = tank(plan=CarePlan(test_days=3))
    fresh = reading(Quantity.NITRATE, 10.0, "2027-02-09 08:00")
    asked = found(snapshot(NOW, fresh, tank=plan, groups=()), "water.test-due")
    assert [f.severity for f in asked] == [Severity.INFO]


def all_four(age: float, **more: float) -> tuple[Thing, ...]:
    values = {"ammonia": 0.0, "nitrite": 0.0, "nitrate": 20.0, "ph": 7.4, **more}
    return metered(at(NOW) - timedelta(days=age), **values)


@pytest.mark.parametrize(("age", "expected"), [(1, None), (2, Severity.INFO), (3, Severity.WATCH)])
def test_every_two_days_while_the_filter_grows(age: int, expected: Severity | None) -> None:
    asked = found(snapshot(NOW, *all_four(age), tank=YOUNG), "water.test-due")
    assert max((f.severity for f in asked), default=None) is expected
    assert {f.quantity for f in asked} <= {Quantity.AMMONIA, Quantity.NITRITE}


@pytest.mark.parametrize(
    ("number", "age", "expected"),
    [
        (6, 11, None),
        (6, 12, Severity.INFO),
        (6, 14, Severity.WATCH),  # past what a test keeps
        (5, 11, Severity.INFO),  # five clean tests: still every week
    ],
)
def test_every_second_week_after_six_clean_tests(
    number: int, age: int, expected: Severity | None
) -> None:
    tests = [r for n in range(number) for r in all_four(age + 7 * n)]
    assert severity(snapshot(NOW, *tests), "water.test-due") is expected


def test_days_named_for_the_test_itself_hold_whatever_the_tests_say() -> None:
    tests = [r for n in range(6) for r in all_four(8 + 7 * n)]
    weekly = tank(plan=CarePlan(jobs=(PlannedJob(name="test", every_days=7),)))
    assert severity(snapshot(NOW, *tests), "water.test-due") is None
    assert severity(snapshot(NOW, *tests, tank=weekly), "water.test-due") is Severity.INFO
    unclean = all_four(8, nitrite=0.05)
    assert severity(snapshot(NOW, *tests[4:], *unclean), "water.test-due") is Severity.INFO
