"""The arithmetic of a treatment that an adult wrote; never which treatment."""

from dataclasses import replace
from datetime import date

import pytest

from app.domain.records import Job, JobKind, Treatment
from app.rules.model import Severity
from tests.rules.checks import found, plain, severity
from tests.situations import SHAPE, job, snapshot, tank

NOW = "2027-02-10 09:00"
GIVEN = "2027-02-08 09:00"
RULE = "treatment.check"
SOUND = Treatment(
    product="Label",
    label_ml=5.0,
    label_l=100.0,
    volume_l=85.0,
    amount_ml=4.25,
    carbon_out=True,
    until=date(2027, 2, 20),
)


def given(when: str = GIVEN, **more: object) -> Job:
    return job(JobKind.TREATMENT, when, treatment=replace(SOUND, **more))  # type: ignore[arg-type]


def test_a_sound_record_asks_for_nothing() -> None:
    assert severity(snapshot(NOW, given()), RULE) is None
    assert severity(snapshot(NOW), RULE) is None
    assert severity(snapshot(NOW, job(JobKind.TREATMENT, GIVEN)), RULE) is None


@pytest.mark.parametrize("carbon", [None, False])
def test_carbon_not_marked_as_out(carbon: bool | None) -> None:
    (finding,) = found(snapshot(NOW, given(carbon_out=carbon)), RULE)
    assert finding.severity is Severity.ACT
    assert "arbon" in finding.reason


# 85.0 L of water; 10 % more are 93.5 L
@pytest.mark.parametrize(("liters", "expected"), [(None, None), (93.4, None), (93.6, Severity.ACT)])
def test_the_volume_of_the_water_not_of_the_glass(
    liters: float | None, expected: Severity | None
) -> None:
    assert severity(snapshot(NOW, given(volume_l=liters, amount_ml=None)), RULE) is expected


def test_without_measures_it_says_that_nobody_can_check() -> None:
    dry = tank(shape=replace(SHAPE, water_depth_cm=None))
    (finding,) = found(snapshot(NOW, given(), tank=dry), RULE)
    assert "Nobody measured" in finding.reason


# 5 mL for 100 L: 4.25 mL for 85 L, and 10 % either way
@pytest.mark.parametrize(
    ("amount", "expected"),
    [(4.67, None), (4.69, Severity.ACT), (3.83, None), (3.81, Severity.ACT), (None, None)],
)
def test_the_amount_follows_from_the_label_as_typed(
    amount: float | None, expected: Severity | None
) -> None:
    assert severity(snapshot(NOW, given(amount_ml=amount)), RULE) is expected


def test_a_water_change_in_the_course_without_a_later_amount() -> None:
    changed = job(JobKind.WATER_CHANGE, "2027-02-09 09:00", liters_out=21.25)
    (finding,) = found(snapshot(NOW, given(), changed), RULE)
    assert "25 % of it went out" in plain(finding.reason)
    again = given("2027-02-09 10:00")
    assert severity(snapshot(NOW, given(), changed, again), RULE) is None


@pytest.mark.parametrize(
    ("today", "until", "expected"),
    [
        ("2027-02-10 09:00", date(2027, 2, 10), Severity.ACT),
        ("2027-02-11 09:00", date(2027, 2, 10), None),
        ("2027-03-08 09:00", None, Severity.ACT),
        ("2027-03-09 09:00", None, None),
    ],
)
def test_it_ends_with_the_course(today: str, until: date | None, expected: Severity | None) -> None:
    now = snapshot(today, given(carbon_out=False, until=until))
    assert severity(now, RULE) is expected
