"""The water level, and where the water goes. Edges are our own choice."""

import pytest

from app.domain.quantities import Quantity
from app.domain.records import JobKind
from app.rules.model import Severity
from tests.rules.checks import found, severity
from tests.situations import SHAPE, Thing, job, reading, snapshot, tank

NOW = "2027-02-12 09:00"
LOSING = "level.losing-water"


@pytest.mark.parametrize(
    ("down_mm", "expected"),
    [(19.0, None), (20.0, Severity.WATCH), (39.0, Severity.WATCH), (40.0, Severity.ACT)],
)
def test_the_level_on_its_way_to_the_heater(down_mm: float, expected: Severity | None) -> None:
    box = SHAPE.__class__(length_cm=78, width_cm=34, water_depth_cm=36, heater_line_cm=32.0)
    level = reading(Quantity.WATER_LEVEL, down_mm, "2027-02-12 08:00")
    low = snapshot(NOW, level, tank=tank(shape=box))
    assert severity(low, "maintenance.level") is expected
    filled = job(JobKind.TOP_UP, "2027-02-12 08:30", liters_in=5.0)
    assert found(snapshot(NOW, level, filled, tank=tank(shape=box)), "maintenance.level") == []


def low(day: int, mm: float = 10.0) -> Thing:
    return reading(Quantity.WATER_LEVEL, mm, f"2027-02-{day:02d} 08:00")


@pytest.mark.parametrize(
    ("levels", "expected"),
    [
        ((low(12), low(6)), Severity.WATCH),
        ((low(12), low(5)), None),  # eight days
        ((low(12), low(12, 12.0)), None),  # one day
        ((low(12), low(11, 9.0)), None),  # not low
    ],
)
def test_low_on_two_days_of_seven(levels: tuple[Thing, ...], expected: Severity | None) -> None:
    assert severity(snapshot(NOW, *levels), LOSING) is expected
    checked = job(JobKind.EQUIPMENT_CHECK, "2027-02-12 08:30")
    assert severity(snapshot(NOW, *levels, checked), LOSING) is None


# 5 % of 85.0 L is 4.25 L, 10 % is 8.5 L
@pytest.mark.parametrize(
    ("day", "liters", "expected"),
    [
        (11, 4.2, None),
        (11, 4.3, Severity.WATCH),
        (11, 8.5, Severity.WATCH),
        (11, 8.6, Severity.ACT),
        (10, 8.6, Severity.WATCH),  # for two days
        (11, None, None),  # nobody wrote how much
    ],
)
def test_topped_up_for_each_day_since_the_line(
    day: int, liters: float | None, expected: Severity | None
) -> None:
    before = job(JobKind.WATER_CHANGE, f"2027-02-{day:02d} 08:00", liters_in=20.0)
    fill = job(JobKind.TOP_UP, "2027-02-12 08:00", liters_in=liters)
    assert severity(snapshot(NOW, before, fill), LOSING) is expected


def test_without_a_start_or_a_volume_nobody_can_tell() -> None:
    fill = job(JobKind.TOP_UP, "2027-02-12 08:00", liters_in=20.0)
    assert severity(snapshot(NOW, fill), LOSING) is None
    before = job(JobKind.TOP_UP, "2027-02-11 08:00", liters_in=20.0)
    flat = tank(shape=SHAPE.__class__(length_cm=78, width_cm=34))
    assert severity(snapshot(NOW, before, fill, tank=flat), LOSING) is None


def test_a_smaller_top_up_later_ends_it() -> None:
    fills = [
        job(JobKind.TOP_UP, f"2027-02-{day:02d} 08:00", liters_in=liters)
        for day, liters in ((10, 1.0), (11, 9.0), (12, 1.0))
    ]
    assert severity(snapshot(NOW, *fills[:2]), LOSING) is Severity.ACT
    assert severity(snapshot(NOW, *fills), LOSING) is None
