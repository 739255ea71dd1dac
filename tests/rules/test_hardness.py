"""Little buffer, and KH or GH outside a tank's own range. Edges: the project's own choice."""

import pytest

from app.domain.quantities import Quantity
from app.domain.records import JobKind, Reading
from app.domain.tank import Range
from app.rules.model import Severity
from tests.rules.checks import found, severity, task
from tests.situations import job, metered, reading, snapshot, tank

NOW = "2027-02-15 09:00"
BEFORE = "2027-02-01 09:00"
RULE = "water.buffer"


def kh(value: float, when: str = NOW, **more: float) -> Reading:
    return reading(Quantity.KH, value, when, **more)


def ph(value: float, when: str = NOW) -> Reading:
    return reading(Quantity.PH, value, when)


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (0.9, Severity.ACT),
        (1.9, Severity.ACT),
        (2.0, Severity.WATCH),
        (2.9, Severity.WATCH),
        (3.0, None),
    ],
)
def test_bands_of_kh_while_nobody_knows_ph(value: float, expected: Severity | None) -> None:
    assert severity(snapshot(NOW, kh(value)), RULE) is expected


@pytest.mark.parametrize(
    ("value", "end", "expected"),
    [
        (0.9, 7.1, Severity.EMERGENCY),
        (0.9, 7.2, Severity.ACT),  # 0.2 is no fall
        (1.0, 7.1, Severity.ACT),
    ],
)
def test_under_one_with_a_falling_ph_is_now(value: float, end: float, expected: Severity) -> None:
    assert severity(snapshot(NOW, kh(value), ph(7.4, BEFORE), ph(end)), RULE) is expected


@pytest.mark.parametrize(
    ("first", "when", "end", "expected"),
    [
        (6.0, BEFORE, 7.0, Severity.WATCH),
        (5.9, BEFORE, 7.0, None),
        (6.0, "2027-02-01 08:59", 7.0, None),  # more than two weeks
        (6.0, BEFORE, 7.4, None),
    ],
)
def test_a_fall_of_one_in_two_weeks_counts_with_a_falling_ph(
    first: float, when: str, end: float, expected: Severity | None
) -> None:
    written = (kh(first, when), kh(5.0), ph(7.4, BEFORE), ph(end))
    assert severity(snapshot(NOW, *written), RULE) is expected


def test_after_little_buffer_only_four_is_enough_again() -> None:
    assert severity(snapshot(NOW, kh(2.5, BEFORE), kh(3.9)), RULE) is Severity.WATCH
    assert severity(snapshot(NOW, kh(2.5, BEFORE), kh(4.0)), RULE) is None
    assert severity(snapshot(NOW, kh(4.0, BEFORE), kh(3.9)), RULE) is None


def test_the_low_end_of_a_card_raises_watch_at_most() -> None:
    assert severity(snapshot(NOW, kh(3.0, low=1.9, high=6.0)), RULE) is Severity.WATCH
    assert severity(snapshot(NOW, kh(3.0, low=2.0, high=6.0)), RULE) is None


def test_while_the_buffer_is_low_water_changes_stay_small() -> None:
    rinsed = job(JobKind.FILTER_RINSE, BEFORE)
    now = snapshot(NOW, kh(1.5), *metered(NOW, nitrate=80.0), rinsed)
    change = task(now, "water-change")
    assert change is not None
    assert change.action.amount == pytest.approx(0.15)


def test_nothing_is_to_go_in_but_tap_water() -> None:
    (finding,) = found(snapshot(NOW, kh(1.5)), RULE)
    assert "Nothing else goes in" in finding.reason


@pytest.mark.parametrize(
    ("low", "high", "value", "expected"),
    [
        (6.0, 12.0, 12.0, None),
        (6.0, 12.0, 12.1, Severity.WATCH),
        (6.0, 12.0, 6.0, None),
        (6.0, 12.0, 5.9, Severity.WATCH),
        (None, 12.0, 1.0, None),
        (6.0, None, 30.0, None),
    ],
)
def test_gh_outside_a_tanks_own_range(
    low: float | None, high: float | None, value: float, expected: Severity | None
) -> None:
    own = tank(ranges=(Range(quantity=Quantity.GH, low=low, high=high, set_by="Ms Reed"),))
    written = reading(Quantity.GH, value, NOW)
    assert severity(snapshot(NOW, written, tank=own), "water.hardness-range") is expected
    assert severity(snapshot(NOW, written), "water.hardness-range") is None


def test_a_doubtful_kit_does_not_clear_the_range() -> None:
    own = tank(ranges=(Range(quantity=Quantity.KH, low=4.0, high=8.0),))
    bad, doubtful = kh(10.0, BEFORE), kh(6.0, NOW, kit_doubtful=True)
    rule = "water.hardness-range"
    assert severity(snapshot(NOW, bad, doubtful, tank=own), rule) is Severity.WATCH
    assert severity(snapshot(NOW, bad, kh(6.0), tank=own), rule) is None
