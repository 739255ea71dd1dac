"""Oxygen by test and by estimate. Edges: Francis-Floyd, UF/IFAS FA27; the upper from memory."""

from dataclasses import replace

import pytest

from app.domain.outlook import OxygenOutlook
from app.domain.quantities import Quantity
from app.rules.model import Severity, State
from tests.rules.checks import found, judged, plain, severity, task
from tests.situations import calm, look, reading, snapshot

NOW = "2027-02-03 09:00"
BANDS = [
    (6.0, None),
    (5.9, Severity.WATCH),
    (5.0, Severity.WATCH),
    (4.9, Severity.ACT),
    (4.0, Severity.ACT),
    (3.9, Severity.EMERGENCY),
]


def guess(best: float) -> OxygenOutlook:
    return OxygenOutlook(low=best - 0.7, best=best, high=best + 0.9)


@pytest.mark.parametrize(("value", "expected"), BANDS)
def test_bands_of_a_test(value: float, expected: Severity | None) -> None:
    now = snapshot(NOW, reading(Quantity.OXYGEN, value, NOW))
    assert severity(now, "water.oxygen") is expected


@pytest.mark.parametrize(("value", "expected"), BANDS)
def test_bands_of_the_estimate(value: float, expected: Severity | None) -> None:
    now = snapshot(NOW, oxygen=guess(value))
    assert severity(now, "oxygen.night") is expected


@pytest.mark.parametrize(
    ("value", "expected"), [(4.0, None), (3.9, Severity.WATCH), (2.0, Severity.WATCH)]
)
def test_an_assumed_surface_raises_watch_at_most(value: float, expected: Severity | None) -> None:
    now = snapshot(NOW, oxygen=replace(guess(value), surface_assumed=True))
    assert severity(now, "oxygen.night") is expected


def test_an_assumed_surface_is_said_with_what_would_tell() -> None:
    (finding,) = found(
        snapshot(NOW, oxygen=replace(guess(3.5), surface_assumed=True)), "oxygen.night"
    )
    assert any("An evening and a morning reading" in line.text for line in finding.working)


def test_an_empty_tank_needs_no_air() -> None:
    assert severity(snapshot(NOW, oxygen=guess(3.0), groups=()), "oxygen.night") is None


def test_without_an_estimate_nothing_is_said_of_the_night() -> None:
    assert severity(snapshot(NOW), "oxygen.night") is None


def test_an_estimate_says_so_with_its_range() -> None:
    (finding,) = found(snapshot(NOW, oxygen=guess(4.3)), "oxygen.night")
    assert not finding.certain
    assert "estimate: 4.3 (3.6 to 5.2 mg/L)" in plain(finding.reason)


def test_a_good_estimate_clears_no_bad_test() -> None:
    low = reading(Quantity.OXYGEN, 3.5, "2027-02-01 09:00")
    now = snapshot(NOW, *calm(NOW), low, oxygen=guess(8.0))
    assert severity(now, "water.oxygen") is Severity.EMERGENCY
    assert judged(now).state is State.ACT_NOW


def test_a_good_estimate_does_not_make_fog_steady() -> None:
    assert judged(snapshot(NOW, oxygen=guess(8.0))).state is State.DONT_KNOW


@pytest.mark.parametrize(
    ("low", "expected"), [(4.9, Severity.WATCH), (5.0, None), (1.0, Severity.WATCH)]
)
def test_the_low_end_of_a_card_raises_watch_at_most(low: float, expected: Severity) -> None:
    tube = reading(Quantity.OXYGEN, 7.0, NOW, low=low, high=9.0)
    assert severity(snapshot(NOW, tube), "water.oxygen") is expected


def test_test_and_estimate_ask_for_one_thing() -> None:
    now = snapshot(NOW, look(NOW, 16), reading(Quantity.OXYGEN, 4.5, NOW), oxygen=guess(4.5))
    air = task(now, "more-air")
    assert air is not None
    assert {f.rule_id for f in air.findings} == {"water.oxygen", "oxygen.night"}
    assert air.findings[0].rule_id == "water.oxygen"  # the measured one first
