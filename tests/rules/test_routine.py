"""Routine jobs of the plan. Intervals are common practice; the plan is the tank's own."""

from datetime import timedelta

import pytest

from app.domain.livestock import Plant
from app.domain.records import JobKind
from app.domain.tank import CARE_JOBS, CarePlan, PlannedJob
from app.rules.model import Severity
from app.rules.routine import ROUTINES
from tests.rules.checks import judged, severity, task
from tests.situations import HOME, Thing, at, fed, job, look, snapshot, tank

NOW = "2027-02-12 09:00"  # a Friday
PLANTS = (Plant(id=1, name="Stem plant"),)


def planned(**more: object) -> object:
    return tank(plan=CarePlan(jobs=(PlannedJob(**more),)))  # type: ignore[arg-type]


def test_every_routine_is_a_job_of_the_plan() -> None:
    assert {r.name for r in ROUTINES} < set(CARE_JOBS)


@pytest.mark.parametrize(
    ("rule", "kind", "days", "late"),
    [
        ("routine.siphon", JobKind.SIPHON, 7, Severity.INFO),
        ("routine.glass", JobKind.GLASS, 7, Severity.INFO),
        ("routine.trim", JobKind.TRIM, 21, Severity.INFO),
        ("routine.equipment-check", JobKind.EQUIPMENT_CHECK, 30, Severity.WATCH),
        ("routine.outlet-test", JobKind.OUTLET_TEST, 30, Severity.WATCH),
        ("routine.kit-dates", JobKind.KIT_CHECK, 91, Severity.INFO),
        ("routine.deep-check", JobKind.DEEP_CHECK, 182, Severity.WATCH),
        ("routine.stock-review", JobKind.STOCK_REVIEW, 91, Severity.INFO),
    ],
)
def test_due_after_its_interval_and_behind_after_one_and_a_half(
    rule: str, kind: JobKind, days: int, late: Severity
) -> None:
    def since(age: int) -> Severity | None:
        done = job(kind, at(NOW) - timedelta(days=age))
        return severity(snapshot(NOW, done, plants=PLANTS), rule)

    assert since(days - 1) is None
    assert since(days) is Severity.INFO
    assert since(days * 3 // 2) is Severity.INFO
    assert since(days * 3 // 2 + 1) is late


@pytest.mark.parametrize(
    ("age", "expected"), [(6, None), (7, Severity.INFO), (10, Severity.INFO), (11, Severity.WATCH)]
)
def test_a_count_at_home(age: int, expected: Severity | None) -> None:
    counted = look(at(NOW) - timedelta(days=age), 16)
    assert severity(snapshot(NOW, counted, site=HOME), "routine.count") is expected
    looked = look("2027-02-12 08:00")  # without a count
    assert severity(snapshot(NOW, counted, looked, site=HOME), "routine.count") is expected


@pytest.mark.parametrize(
    ("counted", "now", "due"),
    [
        ("2027-02-05", "2027-02-11", False),  # Friday to Thursday
        ("2027-02-05", "2027-02-12", True),  # Friday again
        ("2027-02-08", "2027-02-12", True),  # counted on Monday: this Friday
        ("2027-02-10", "2027-02-12", False),  # counted on Wednesday: next Friday
        ("2027-02-10", "2027-02-19", True),
    ],
)
def test_a_class_counts_on_fridays(counted: str, now: str, due: bool) -> None:
    done = look(f"{counted} 08:00", 16)
    found = severity(snapshot(f"{now} 09:00", done, tank=tank(setting="class")), "routine.count")
    assert (found is not None) is due


def test_the_tanks_own_days_and_none_at_all() -> None:
    done = job(JobKind.GLASS, at(NOW) - timedelta(days=4))
    rule = "routine.glass"
    assert severity(snapshot(NOW, done, tank=planned(name="glass", every_days=4)), rule) is not None
    assert severity(snapshot(NOW, done, tank=planned(name="glass", every_days=5)), rule) is None
    old = job(JobKind.GLASS, at(NOW) - timedelta(days=40))
    assert severity(snapshot(NOW, old, tank=planned(name="glass", every_days=0)), rule) is None


def test_a_new_record_gets_no_list_of_jobs_on_day_one() -> None:
    first = snapshot(NOW, fed("2027-02-12 08:00"), plants=PLANTS)
    assert not [t for t in judged(first).tasks if t.key.startswith("routine-")]
    week = snapshot(NOW, fed("2027-02-05 08:00"), plants=PLANTS)
    keys = {t.key for t in judged(week).tasks if t.key.startswith("routine-")}
    assert keys == {"routine-count", "routine-siphon", "routine-glass"}
    assert task(snapshot(NOW), "routine-glass") is None  # nothing is written at all


def test_nothing_to_count_siphon_or_trim_where_nothing_lives() -> None:
    old: Thing = fed("2026-12-01 08:00")
    keys = {t.key for t in judged(snapshot(NOW, old, groups=())).tasks}
    assert not keys & {"routine-count", "routine-siphon", "routine-glass", "routine-trim"}
    assert "routine-equipment-check" in keys
