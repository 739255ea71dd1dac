"""The filter: due, slow, off, washed in tap water. Hours and days are our own choice."""

from datetime import timedelta

import pytest

from app.domain.outlook import OxygenOutlook
from app.domain.quantities import Quantity
from app.domain.records import JobKind, Rinse, Sign
from app.domain.tank import CarePlan
from app.rules.model import Severity
from tests.rules.checks import found, judged, severity, task
from tests.situations import Thing, at, job, look, metered, reading, snapshot, tank

NOW = "2027-02-12 09:00"
OFF = "filter.off"


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


def off(when: str) -> Thing:
    return look(when, signs=(Sign.FILTER_OFF,))


@pytest.mark.parametrize(
    ("when", "expected"),
    [("2027-02-12 07:01", Severity.ACT), ("2027-02-12 07:00", Severity.EMERGENCY)],
)
def test_a_filter_that_is_off_two_hours(when: str, expected: Severity) -> None:
    assert severity(snapshot(NOW, off(when)), OFF) is expected


def test_it_holds_until_the_two_hours_are_over() -> None:
    until = judged(snapshot(NOW, off("2027-02-12 08:00"))).holds_until
    assert until == at("2027-02-12 10:00")


@pytest.mark.parametrize(
    ("hours", "expected"),
    [(4.1, Severity.ACT), (4.0, Severity.EMERGENCY), (None, Severity.ACT)],
)
def test_little_oxygen_asks_for_help_at_once(hours: float | None, expected: Severity) -> None:
    oxygen = OxygenOutlook(low=4.0, best=5.0, high=6.0, outage_low_h=hours, outage_high_h=9.0)
    now = snapshot(NOW, off("2027-02-12 08:00"), oxygen=oxygen)
    assert severity(now, OFF) is expected
    assert found(now, OFF)[0].certain is (hours != 4.0)


def test_without_an_estimate_it_says_what_is_missing() -> None:
    assert "is not known" in found(snapshot(NOW, off("2027-02-12 08:00")), OFF)[0].reason


def test_a_later_look_with_the_filter_running_ends_it() -> None:
    seen = look("2027-02-12 08:30")
    assert severity(snapshot(NOW, off("2027-02-12 08:00"), seen), OFF) is None
    again = off("2027-02-12 08:30")
    longer = snapshot(NOW, off("2027-02-12 06:30"), again)
    assert severity(longer, OFF) is Severity.EMERGENCY  # off since the first of both


def test_a_plug_that_is_off_is_one_task_and_grows_worse() -> None:
    soon = snapshot(NOW, look("2027-02-12 07:01", plug_on=False))
    assert severity(soon, OFF) is None
    assert severity(soon, "look.lid-and-plug") is Severity.ACT
    long = snapshot(NOW, look("2027-02-12 07:00", plug_on=False))
    asked = task(long, "plug")
    assert asked is not None
    assert asked.severity is Severity.EMERGENCY
    assert {f.rule_id for f in asked.findings} == {OFF, "look.lid-and-plug"}


def test_a_power_cut_is_one_task_with_its_sign_and_grows_worse() -> None:
    def cut(when: str) -> Thing:
        return look(when, signs=(Sign.POWER_CUT,))

    assert severity(snapshot(NOW, cut("2027-02-12 07:01")), OFF) is None
    long = task(snapshot(NOW, cut("2027-02-12 07:00")), "filter-off")
    assert long is not None
    assert long.severity is Severity.EMERGENCY
    assert {f.rule_id for f in long.findings} == {OFF, "sign.power-cut"}


def slow(when: str) -> Thing:
    return look(when, signs=(Sign.FILTER_SLOW,))


@pytest.mark.parametrize(
    ("first", "expected"), [("2027-02-09 08:00", Severity.WATCH), ("2027-02-09 07:59", None)]
)
def test_slow_at_two_looks_within_three_days(first: str, expected: Severity | None) -> None:
    looks = slow(first), slow("2027-02-12 08:00")
    rinsed = job(JobKind.FILTER_RINSE, "2027-02-01 09:00")
    assert severity(snapshot(NOW, rinsed, *looks), "filter.slow") is expected
    after = job(JobKind.FILTER_RINSE, "2027-02-12 08:30")
    assert severity(snapshot(NOW, *looks, after), "filter.slow") is None
    good = look("2027-02-12 08:30")
    assert severity(snapshot(NOW, rinsed, *looks, good), "filter.slow") is None


@pytest.mark.parametrize(
    ("days", "plan", "expected"),
    [(45, 30, None), (46, 30, Severity.WATCH), (46, 45, Severity.WATCH), (46, 46, None)],
)
def test_no_rinse_for_over_45_days_unless_planned(
    days: int, plan: int, expected: Severity | None
) -> None:
    done = job(JobKind.FILTER_RINSE, at(NOW) - timedelta(days=days))
    own = tank(plan=CarePlan(filter_rinse_days=plan))
    assert severity(snapshot(NOW, done, tank=own), "filter.slow") is expected


@pytest.mark.parametrize(
    ("kind", "more", "expected"),
    [
        (JobKind.FILTER_RINSE, {"rinse": Rinse.TAP}, Severity.ACT),
        (JobKind.FILTER_RINSE, {"rinse": Rinse.TANK}, None),
        (JobKind.FILTER_RINSE, {"rinse": Rinse.TREATED}, None),
        (JobKind.FILTER_RINSE, {}, None),  # nobody wrote in what
        (JobKind.MEDIA_REPLACED, {"media_share": 1.0}, Severity.ACT),
        (JobKind.MEDIA_REPLACED, {"media_share": 0.9}, None),
        (JobKind.MEDIA_REPLACED, {}, None),
    ],
)
def test_washed_in_tap_water_or_all_replaced(
    kind: JobKind, more: dict[str, object], expected: Severity | None
) -> None:
    assert severity(snapshot(NOW, job(kind, "2027-02-10 09:00", **more)), "filter.tap-rinsed") is (
        expected
    )


@pytest.mark.parametrize(("clean", "expected"), [(3, Severity.ACT), (4, None)])
def test_four_clean_tests_after_it_end_it(clean: int, expected: Severity | None) -> None:
    washed = job(JobKind.FILTER_RINSE, "2027-02-07 09:00", rinse=Rinse.TAP)
    tests = [
        r
        for day in range(8, 8 + clean)
        for r in metered(f"2027-02-{day:02d} 09:00", ammonia=0.0, nitrite=0.0)
    ]
    assert severity(snapshot(NOW, washed, *tests), "filter.tap-rinsed") is expected
