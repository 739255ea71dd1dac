"""KH ahead: what the filter uses of it, how long it lasts, where changes hold it.

The tank holds 85.0 L and gets 0.25 g of food with 45 % protein a day: by hand 250 x 0.45 x 0.092 =
10.35 mg of N, 0.122 mg/L; two acid charges for each N are 2 / 14.007 meq and 2.8 °dKH for each
meq/L: 0.0487 °dKH a day, 0.34 a week, and 1 °dKH in 20.5 days.
"""

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from app.domain.quantities import Quantity
from app.domain.records import JobKind
from app.domain.snapshot import TankSnapshot
from app.domain.tank import CarePlan, TankShape
from app.estimates.kh import kh_ahead
from app.estimates.missing import A_KH_TEST, GRAMS_A_DAY, MEASURES, TAP_KH
from tests.rules.checks import KNOWLEDGE
from tests.situations import HOME, Thing, at, fed, job, reading, snapshot, tank

NOW = "2027-02-12 18:00"
TAPPED = replace(HOME, tap=((Quantity.KH, 8.0),))
KNOWN = tank(
    food_protein_percent=45.0, plan=CarePlan(water_change_days=7, water_change_percent=25.0)
)
MEALS = [fed(at("2027-02-12 08:00") - timedelta(days=ago), grams=0.25) for ago in range(30)]
TEST = reading(Quantity.KH, 6.0, NOW)


def written(*entries: Thing, **changes: Any) -> TankSnapshot:
    return snapshot(NOW, *entries, **({"site": TAPPED, "tank": KNOWN} | changes))


def test_a_week_uses_a_third_of_a_degree_and_a_quarter_a_week_settles_at_six_and_a_half() -> None:
    ahead = kh_ahead(written(*MEALS, TEST), KNOWLEDGE)

    assert 7 * ahead.used[1] == pytest.approx(0.34, abs=0.005)
    assert ahead.days_each == pytest.approx(20.5, abs=0.1)
    # by arithmetic: 0.34 in a week over a quarter lies 1.36 below the 8 of the tap
    assert ahead.settles[1].before_change == pytest.approx(6.6, abs=0.05)
    assert ahead.settles[0].before_change < 6.6 < ahead.settles[2].before_change


def test_days_until_too_low_hold_what_could_be() -> None:
    ahead = kh_ahead(written(*MEALS, TEST), KNOWLEDGE)

    # from 6 to 2 °dKH at 20.5 days for each degree
    assert ahead.left.best == pytest.approx(4 * 20.5, rel=0.01)
    assert ahead.left.low < 82 < ahead.left.high
    assert "estimate, not measured" in ahead.left.sentence
    assert ahead.left.narrows_most


def test_what_was_fed_and_changed_since_the_test_counts() -> None:
    test = replace(TEST, at=TEST.at - timedelta(days=20))
    fed_on = kh_ahead(written(*MEALS, test), KNOWLEDGE)
    half = job(JobKind.WATER_CHANGE, "2027-02-12 17:00", liters_out=42.5, liters_in=42.5)
    changed = kh_ahead(written(*MEALS, test, half), KNOWLEDGE)

    assert fed_on.left.best == pytest.approx(4 * 20.5 - 20, abs=1.0)
    # half of 6 - 20/20.5 and half of the tap's 8 are 6.51 (arithmetic)
    assert changed.left.best == pytest.approx((6.51 - 2.0) * 20.5, abs=1.5)


@pytest.mark.parametrize(
    ("value", "words"),
    [(1.5, "already"), (12.0, "for more than 120 days"), (3.0, "falls to 2 °dKH in")],
)
def test_the_sentence_says_when(value: float, words: str) -> None:
    test = reading(Quantity.KH, value, NOW, low=value, high=value + 0.1)

    assert words in kh_ahead(written(*MEALS, test), KNOWLEDGE).left.sentence


def test_water_without_kh_in_the_tap_is_used_up() -> None:
    soft = replace(HOME, tap=((Quantity.KH, 1.0),))
    ahead = kh_ahead(written(*MEALS, TEST, site=soft), KNOWLEDGE)

    assert ahead.settles[1].before_change < 0


CHANGE = job(JobKind.WATER_CHANGE, NOW, liters_out=20.0)
OLD = reading(Quantity.KH, 6.0, "2026-11-20 12:00")
EARLIER = replace(TEST, at=TEST.at - timedelta(days=2))
UNMEASURED = {"tank": tank(shape=TankShape(length_cm=60, width_cm=30))}


@pytest.mark.parametrize(
    ("entries", "changes", "missing"),
    [
        (MEALS, {}, A_KH_TEST),
        ([*MEALS, OLD], {}, A_KH_TEST),
        ([*MEALS, replace(TEST, kit_doubtful=True)], {}, A_KH_TEST),
        ([TEST], {}, GRAMS_A_DAY),
        ([fed(NOW, grams=None), TEST], {}, GRAMS_A_DAY),
        ([*MEALS, TEST], UNMEASURED, MEASURES),
        ([*MEALS, EARLIER, CHANGE], {"site": HOME}, TAP_KH),
    ],
)
def test_what_is_missing_is_said(
    entries: list[Thing], changes: dict[str, object], missing: str
) -> None:
    left = kh_ahead(written(*entries, **changes), KNOWLEDGE).left

    assert not left.known
    assert left.missing == (missing,)
    assert missing in left.sentence


def test_without_the_taps_own_kh_it_lasts_but_settles_nowhere() -> None:
    ahead = kh_ahead(written(*MEALS, TEST, site=HOME), KNOWLEDGE)

    assert ahead.left.known
    assert ahead.settles == ()
    assert TAP_KH in ahead.left.missing
