"""Nitrite and nitrate. Sources of the edges: knowledge/water.toml."""

from dataclasses import replace

import pytest

from app.domain.quantities import Quantity
from app.domain.records import JobKind, Reading
from app.domain.tank import Range
from app.rules.model import Severity
from tests.rules.checks import found, plain, severity, task
from tests.situations import SCHOOL, job, reading, snapshot, tank

NOW = "2027-02-03 09:00"
TEN = "2027-02-03 08:00"


def no2(value: float | None, when: str = TEN, **more: float) -> Reading:
    return reading(Quantity.NITRITE, value, when, **more)


def no3(value: float | None, when: str = TEN, **more: float | None) -> Reading:
    return reading(Quantity.NITRATE, value, when, **more)


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (0.049, None),
        (0.05, Severity.WATCH),
        (0.199, Severity.WATCH),
        (0.2, Severity.ACT),
        (0.99, Severity.ACT),
        (1.0, Severity.EMERGENCY),
    ],
)
def test_bands_of_nitrite(value: float, expected: Severity | None) -> None:
    assert severity(snapshot(NOW, no2(value)), "water.nitrite") is expected


@pytest.mark.parametrize(
    ("nitrite", "chloride", "expected"),
    [
        (0.5, 30.0, Severity.WATCH),  # 60 : 1
        (0.5, 5.0, Severity.WATCH),  # 10 : 1
        (0.5, 4.9, Severity.ACT),
        (2.0, 20.0, Severity.ACT),
        (0.1, 100.0, Severity.WATCH),  # never below watch
    ],
)
def test_ten_times_the_chloride_lowers_one_step(
    nitrite: float, chloride: float, expected: Severity
) -> None:
    """Ratio of 10 : 1 by mass: SRAC 462 (channel catfish)."""
    salty = reading(Quantity.CHLORIDE, chloride, TEN)
    finding = found(snapshot(NOW, no2(nitrite), salty), "water.nitrite")[0]
    assert finding.severity is expected
    if expected is Severity.WATCH and nitrite == 0.5:
        assert "buys time" in finding.reason


def test_what_the_card_could_mean_raises_watch_at_most() -> None:
    rule = "water.nitrite"
    assert severity(snapshot(NOW, no2(None, low=0.0, high=0.19)), rule) is None
    assert severity(snapshot(NOW, no2(None, low=0.0, high=0.2)), rule) is Severity.WATCH
    assert severity(snapshot(NOW, no2(0.1, low=0.05, high=5.0)), rule) is Severity.WATCH
    # a tube that matches the color 0 is the lowest answer such a card has
    assert severity(snapshot(NOW, no2(0.0, low=0.0, high=0.25)), rule) is None


def test_two_good_nitrite_tests_in_a_row_end_it() -> None:
    bad = no2(0.5, "2027-02-01 08:00")
    one, two = no2(0.0, "2027-02-02 08:00"), no2(0.0, TEN)
    assert severity(snapshot(NOW, bad, one), "water.nitrite") is Severity.WATCH
    assert severity(snapshot(NOW, bad, one, two), "water.nitrite") is None


@pytest.mark.parametrize(
    ("value", "expected"),
    [
        (25.0, None),
        (25.1, Severity.WATCH),
        (50.0, Severity.WATCH),
        (50.1, Severity.ACT),
        (150.0, Severity.ACT),
    ],
)
def test_bands_of_nitrate(value: float, expected: Severity | None) -> None:
    assert severity(snapshot(NOW, no3(value)), "water.nitrate") is expected


def test_a_tap_water_with_much_nitrate_moves_the_edge() -> None:
    def with_tap(tap: float, value: float) -> Severity | None:
        site = replace(SCHOOL, tap=((Quantity.NITRATE, tap),))
        return severity(snapshot(NOW, no3(value), site=site), "water.nitrate")

    assert with_tap(15.0, 26.0) is Severity.WATCH
    assert with_tap(20.0, 30.0) is None
    assert with_tap(20.0, 30.1) is Severity.WATCH


def test_a_tanks_own_limit_is_where_watch_begins_and_act_stays() -> None:
    own = tank(ranges=(Range(quantity=Quantity.NITRATE, low=None, high=40.0, set_by="Mr Vale"),))
    assert found(snapshot(NOW, no3(40.0), tank=own), "water.nitrate") == []
    watched = found(snapshot(NOW, no3(41.0), tank=own), "water.nitrate")[0]
    assert watched.severity is Severity.WATCH
    assert any("Mr Vale" in shown.basis for shown in watched.limits)
    assert severity(snapshot(NOW, no3(50.1), tank=own), "water.nitrate") is Severity.ACT


@pytest.mark.parametrize(
    ("card", "expected"),
    [
        ({"value": 20.0, "low": 10.0, "high": 40.0}, None),
        ({"value": 20.0, "low": 10.0, "high": 50.1}, Severity.WATCH),
        ({"value": 40.0, "low": 20.0, "high": 80.0}, Severity.WATCH),
        ({"value": 80.0, "low": 40.0, "high": None}, Severity.ACT),
    ],
)
def test_the_best_guess_of_a_nitrate_card_decides(
    card: dict[str, float | None], expected: Severity | None
) -> None:
    tube = reading(Quantity.NITRATE, when=TEN, **card)
    assert severity(snapshot(NOW, tube), "water.nitrate") is expected


def test_the_change_reaches_for_the_edge_in_steps_of_a_day() -> None:
    """(30 − 25) ÷ (30 − 5) is 20 %, but 25 % is the least; from 45 it would be 50 %, but 30."""
    site = replace(SCHOOL, tap=((Quantity.NITRATE, 5.0),))

    def asked(value: float) -> str:
        found_task = task(snapshot(NOW, no3(value), site=site), "water-change")
        assert found_task is not None
        return plain(found_task.action.title)

    # 85.0 L net by hand: 78 × 34 × 36 − 60 % of 78 × 34 × 5 − 2.5 L
    assert asked(30.0) == "Change 21 L, 25 %"
    assert asked(45.0) == "Change 26 L, 30 %"
    # 0.71 × 32 + ... : (33 − 25) ÷ (33 − 5) = 28.6 %
    assert asked(33.0) == "Change 24 L, 29 %"


def test_after_the_change_it_asks_for_the_test_and_stays() -> None:
    changed = job(JobKind.WATER_CHANGE, "2027-02-03 08:30", liters_out=25.0)
    after = found(snapshot(NOW, no3(80.0), changed), "water.nitrate")[0]
    assert after.severity is Severity.ACT
    assert after.action.key == "test-nitrate"
    small = job(JobKind.WATER_CHANGE, "2027-02-03 08:30", liters_out=15.0)
    still = found(snapshot(NOW, no3(80.0), small), "water.nitrate")[0]
    assert still.action.key == "water-change"


def test_it_says_what_would_have_changed_the_answer() -> None:
    finding = found(snapshot(NOW, no3(45.0)), "water.nitrate")[0]
    assert finding.counterfactual == "With nitrate at 25 or below this would not be here."
    steps = found(snapshot(NOW, no3(150.0)), "water.nitrate")[0]
    assert "in steps on several days" in steps.reason
