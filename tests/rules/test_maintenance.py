"""Routine jobs. Intervals are the tank's own plan; edges are common practice or own choice."""

from dataclasses import replace
from datetime import date, timedelta

import pytest

from app.domain.quantities import Quantity
from app.domain.records import CarePlan, JobKind, Kit
from app.rules.model import Severity
from tests.rules.checks import found, plain, severity, task
from tests.situations import HOME, SHAPE, at, fed, job, look, reading, snapshot, tank, warm

NOW = "2027-02-12 09:00"


def change(when: str, liters: float | None = 21.3) -> object:
    return job(JobKind.WATER_CHANGE, when, liters_out=liters)


@pytest.mark.parametrize(
    ("day", "expected"),
    [
        (6, None),  # six days ago
        (5, Severity.INFO),  # seven
        (2, Severity.INFO),  # ten
        (1, Severity.WATCH),  # eleven: over one and a half intervals
    ],
)
def test_the_planned_change(day: int, expected: Severity | None) -> None:
    done = job(JobKind.WATER_CHANGE, f"2027-02-{day:02d} 20:00", liters_out=21.3)
    assert severity(snapshot(NOW, done), "maintenance.water-change") is expected


@pytest.mark.parametrize(
    ("liters", "expected"), [((17.0,), None), ((16.9,), Severity.WATCH), ((9.0, 8.0), None)]
)
def test_eighty_percent_of_the_plan_counts(
    liters: tuple[float, ...], expected: Severity | None
) -> None:
    """25 % of 85.0 L is 21.3 L, and 80 % of that 17.0 L."""
    old = job(JobKind.WATER_CHANGE, "2027-01-30 09:00", liters_out=21.3)
    new = [
        job(JobKind.WATER_CHANGE, f"2027-02-{10 + n} 09:00", liters_out=amount)
        for n, amount in enumerate(liters)
    ]
    assert severity(snapshot(NOW, old, *new), "maintenance.water-change") is expected


def test_the_change_says_liters_level_and_warmth_with_working() -> None:
    done = job(JobKind.WATER_CHANGE, "2027-02-05 09:00", liters_out=21.3)
    asked = task(snapshot(NOW, done, warm(24.9, "2027-02-12 08:00")), "water-change")
    assert asked is not None
    assert plain(asked.action.title) == "Change 21 L, 25 %"
    assert "7 days ago" in asked.reason
    # by hand: 24.9 − 1.0 ÷ 0.25 = 20.9
    assert plain(asked.advice).startswith("New water: 20.9 °C or warmer")
    answers = [plain(line.answer) for line in asked.findings[0].working]
    assert {"21.3 L", "8.0 cm", "20.9 °C"} <= set(answers)
    assert "siphon" in asked.action.cautions


def test_without_measures_it_asks_for_a_share() -> None:
    flat = tank(shape=SHAPE.__class__(length_cm=78, width_cm=34))
    done = job(JobKind.WATER_CHANGE, "2027-02-05 09:00")
    asked = task(snapshot(NOW, done, tank=flat), "water-change")
    assert asked is not None
    assert plain(asked.action.title) == "Change 25 % of the water"


def test_nitrate_and_the_plan_ask_for_one_change() -> None:
    done = job(JobKind.WATER_CHANGE, "2027-02-05 07:00", liters_out=21.3)
    nitrate = reading(Quantity.NITRATE, 45.0, "2027-02-11 09:00")
    asked = task(snapshot(NOW, done, nitrate), "water-change")
    assert asked is not None
    assert {f.rule_id for f in asked.findings} == {"maintenance.water-change", "water.nitrate"}
    assert asked.due_at == at("2027-02-11 09:00")
    assert asked.action.amount == 0.30
    assert "Nitrate is 45" in asked.reason
    assert "The planned change is due." in asked.reason


def test_a_change_never_written_counts_from_the_first_entry() -> None:
    rule = "maintenance.water-change"
    assert severity(snapshot(NOW, fed("2027-02-06 09:00")), rule) is None
    assert severity(snapshot(NOW, fed("2027-02-05 09:00")), rule) is Severity.INFO
    assert severity(snapshot(NOW, fed("2027-02-05 09:00"), groups=()), rule) is None
    assert severity(snapshot(NOW), rule) is None


@pytest.mark.parametrize(
    ("days", "expected"),
    [(29, None), (30, Severity.INFO), (45, Severity.INFO), (46, Severity.WATCH)],
)
def test_the_filter_rinse(days: int, expected: Severity | None) -> None:
    done = job(JobKind.FILTER_RINSE, at(NOW) - timedelta(days=days))
    assert severity(snapshot(NOW, done), "maintenance.filter-rinse") is expected


def test_no_filter_rinse_while_the_water_is_bad() -> None:
    done = job(JobKind.FILTER_RINSE, "2027-01-01 09:00")
    nitrite = reading(Quantity.NITRITE, 0.5, "2027-02-12 08:00")
    assert task(snapshot(NOW, done), "filter-rinse") is not None
    assert task(snapshot(NOW, done, nitrite), "filter-rinse") is None


def kit(**dates: date) -> Kit:
    card = Kit(id=9, quantity=Quantity.NITRATE, name="Card", unit="mg/L")
    return replace(card, **dates)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("dates", "expected"),
    [
        ({"expires_on": date(2027, 2, 12)}, None),
        ({"expires_on": date(2027, 2, 11)}, Severity.WATCH),
        ({"opened_on": date(2026, 2, 12)}, None),
        ({"opened_on": date(2026, 2, 11)}, Severity.WATCH),
        ({"expires_on": date(2027, 2, 11), "retired_on": date(2027, 2, 12)}, None),
    ],
)
def test_a_kit_past_its_date(dates: dict[str, date], expected: Severity | None) -> None:
    assert severity(snapshot(NOW, kit(**dates)), "kit.stale") is expected


def test_a_check_speaks_for_a_kit_ninety_days() -> None:
    old = kit(expires_on=date(2026, 1, 1))
    fresh = job(JobKind.KIT_CHECK, at(NOW) - timedelta(days=90) + timedelta(minutes=1))
    gone = job(JobKind.KIT_CHECK, at(NOW) - timedelta(days=90))
    assert severity(snapshot(NOW, old, fresh), "kit.stale") is None
    assert severity(snapshot(NOW, old, gone), "kit.stale") is Severity.WATCH


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
    ("down_mm", "expected"),
    [(19.0, None), (20.0, Severity.WATCH), (39.0, Severity.WATCH), (40.0, Severity.ACT)],
)
def test_the_level_on_its_way_to_the_heater(down_mm: float, expected: Severity | None) -> None:
    box = SHAPE.__class__(length_cm=78, width_cm=34, water_depth_cm=36, heater_line_cm=4.0)
    level = reading(Quantity.WATER_LEVEL, down_mm, "2027-02-12 08:00")
    low = snapshot(NOW, level, tank=tank(shape=box))
    assert severity(low, "maintenance.level") is expected
    filled = job(JobKind.TOP_UP, "2027-02-12 08:30", liters_in=5.0)
    assert found(snapshot(NOW, level, filled, tank=tank(shape=box)), "maintenance.level") == []


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


@pytest.mark.parametrize(
    ("started", "asked"), [(date(2026, 10, 31), True), (date(2026, 11, 2), False)]
)
def test_a_tank_filled_after_the_clocks_changed_is_not_asked(started: date, asked: bool) -> None:
    found = severity(
        snapshot("2026-11-03 09:00", tank=tank(started_on=started)), "maintenance.light-timer"
    )
    assert (found is not None) is asked
