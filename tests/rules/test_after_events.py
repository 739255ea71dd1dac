"""Tests that an event asks for. Days are common practice, no single source."""

from datetime import date, datetime, timedelta

import pytest

from app.domain.records import JobKind, Sign, StockEventKind, Treatment
from app.rules.model import Severity
from tests.rules.checks import found, severity, task
from tests.situations import Thing, at, job, look, metered, snapshot, stock, tank

NOW = "2027-02-12 09:00"
AFTER = "water.test-after"


def ago(days: float) -> datetime:
    return at(NOW) - timedelta(days=days)


def both_zero(days: float) -> tuple[Thing, ...]:
    return metered(at(NOW) - timedelta(days=days), ammonia=0.0, nitrite=0.0)


@pytest.mark.parametrize(
    ("came", "test", "expected"),
    [
        (0, None, None),
        (1, None, Severity.INFO),
        (1, 0.1, None),
        (2, None, Severity.INFO),
        (2, 1.0, None),  # tested on day 1
        (3, 2.0, Severity.INFO),  # day 3 is still to come
        (5, 4.0, Severity.WATCH),  # day 3 was two days ago
        (5, 2.0, None),
        (3, None, Severity.WATCH),  # day 1 was two days ago, and nobody tested since
        (4, None, Severity.WATCH),  # day 3, due since, does not make it a reminder again
        (7, None, Severity.WATCH),
        (7, 3.0, Severity.INFO),
        (28, 21.0, None),  # tested on day 7
        (28, 22.0, Severity.WATCH),
        (29, 22.0, None),  # the plan's own tests ask from here on
    ],
)
def test_days_one_three_and_seven_after_new_animals(
    came: int, test: float | None, expected: Severity | None
) -> None:
    came_in = stock(StockEventKind.ARRIVED, ago(came), 3, apart_days=30)
    things: list[Thing] = [look(ago(60)), came_in]
    things += [] if test is None else both_zero(test)
    assert severity(snapshot(NOW, *things), AFTER) is expected


def test_both_quantities_are_asked_for_in_one_task() -> None:
    came = stock(StockEventKind.ARRIVED, ago(2), 3)
    old = look(ago(60))
    only = metered(at(NOW), nitrite=0.0)
    assert len(found(snapshot(NOW, old, came), AFTER)) == 2
    assert len(found(snapshot(NOW, old, came, *only), AFTER)) == 1
    asked = task(snapshot(NOW, old, came, *both_zero(0.0)), "test")
    assert asked is None or AFTER not in {f.rule_id for f in asked.findings}


@pytest.mark.parametrize(
    ("rinsed", "test", "expected"),
    [(1, None, None), (2, None, Severity.INFO), (9, None, Severity.INFO), (9, 7.0, None)],
)
def test_day_two_after_the_filter_never_changes_the_state(
    rinsed: int, test: float | None, expected: Severity | None
) -> None:
    things: list[Thing] = [job(JobKind.FILTER_RINSE, ago(rinsed))]
    things += [] if test is None else both_zero(test)
    assert severity(snapshot(NOW, *things), AFTER) is expected


def test_the_day_of_a_loss_and_after() -> None:
    loss = stock(StockEventKind.DIED, "2027-02-12 08:00")
    before = metered("2027-02-12 07:59", ammonia=0.0, nitrite=0.0)
    after = metered("2027-02-12 08:01", ammonia=0.0, nitrite=0.0)
    assert severity(snapshot(NOW, loss, *before), AFTER) is Severity.INFO
    assert severity(snapshot(NOW, loss, *before, *after), AFTER) is None


@pytest.mark.parametrize(
    ("began", "until", "test", "expected"),
    [
        (1, None, None, None),
        (2, None, None, Severity.INFO),
        (4, None, 1.0, Severity.INFO),  # day 4 is today
        (8, None, 2.0, None),  # nobody wrote until when: a week, and its day 6 is done
        (8, date(2027, 2, 12), 2.0, Severity.INFO),  # day 8 is today
    ],
)
def test_every_second_day_of_a_treatment(
    began: int, until: date | None, test: float | None, expected: Severity | None
) -> None:
    cure = Treatment(product="As the label says", until=until)
    things: list[Thing] = [job(JobKind.TREATMENT, ago(began), treatment=cure)]
    things += [] if test is None else both_zero(test)
    assert severity(snapshot(NOW, *things), AFTER) is expected


def test_animals_that_were_there_when_the_record_began_are_not_new() -> None:
    first = stock(StockEventKind.ARRIVED, ago(2), 16)
    assert found(snapshot(NOW, first, tank=tank(mature_on=date(2027, 2, 10))), AFTER) == []
    assert found(snapshot(NOW, first, tank=tank(mature_on=date(2027, 2, 11))), AFTER) != []
    earlier = look(ago(3))
    assert found(snapshot(NOW, earlier, first), AFTER) != []


CALM = "water.calm-weeks"


@pytest.mark.parametrize(
    ("number", "thing", "shown"),
    [
        (6, None, True),
        (5, None, False),
        (6, look("2027-02-01 08:00", signs=(Sign.HIDING,)), False),
        (6, look("2027-01-28 08:00", signs=(Sign.HIDING,)), True),  # 15 days ago
        (6, stock(StockEventKind.DIED, "2027-02-01 08:00"), False),
        (6, job(JobKind.TREATMENT, "2027-02-01 08:00"), False),
    ],
)
def test_calm_weeks_are_a_card_and_no_task(number: int, thing: Thing | None, shown: bool) -> None:
    tests = [r for n in range(number) for r in both_zero(7 * n)]
    now = snapshot(NOW, *tests, *([] if thing is None else [thing]))
    assert bool(found(now, CALM)) is shown
    assert task(now, "calm-weeks") is None
