"""The harmful part of ammonia.

Outside check of the share: pH 8.0 and 24 °C give 0.0502 in the table after Emerson and others
1975 as printed by University of Florida IFAS Extension FA16; the equation itself is checked in
tests/science. The numbers below were worked by hand from that equation.
"""

import pytest

from app.domain.livestock import StockGroup
from app.domain.quantities import Quantity
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.rules.ammonia import judge
from app.rules.model import Severity, State
from tests.rules.checks import KNOWLEDGE, found, judged, plain, severity, task
from tests.situations import SHOAL, Thing, calm, reading, snapshot, tank, warm

NOW = "2027-02-03 09:00"
HALF_AN_HOUR_AGO = "2027-02-03 08:30"
YOUNG = tank(mature_on=None)


def water(total: float, ph: float | None, warmth: float | None = 25.0) -> TankSnapshot:
    """A growing filter, no animals yet, and meters: the harmful part alone decides."""
    things: list[Thing] = [reading(Quantity.AMMONIA, total, HALF_AN_HOUR_AGO)]
    if ph is not None:
        things.append(reading(Quantity.PH, ph, HALF_AN_HOUR_AGO))
    if warmth is not None:
        things.append(warm(warmth, HALF_AN_HOUR_AGO))
    return snapshot(NOW, *things, tank=YOUNG, groups=())


def card(total: float, low: float, high: float | None, when: str = HALF_AN_HOUR_AGO) -> Reading:
    return reading(Quantity.AMMONIA, total, when, low=low, high=high)


@pytest.mark.parametrize(
    ("total", "ph", "free", "expected"),
    [
        (0.5, 7.4, 0.007, Severity.WATCH),
        (0.5, 8.2, 0.041, Severity.ACT),
        (1.0, 8.2, 0.082, Severity.ACT),
        # the bands ask for help from 0.10 on: the more cautious choice for the animals
        (0.5, 8.8, 0.132, Severity.EMERGENCY),
        (0.5, 6.8, 0.002, None),
    ],
)
def test_the_same_total_harms_by_ph(
    total: float, ph: float, free: float, expected: Severity | None
) -> None:
    tank_now = water(total, ph)
    assert judge(tank_now.of(Quantity.AMMONIA)[0], tank_now, KNOWLEDGE).best == pytest.approx(
        free, abs=0.0005
    )
    assert severity(tank_now, "water.ammonia") is expected


@pytest.mark.parametrize(
    ("share_of_edge", "key", "below", "at_it"),
    [
        ("free-watch", "ammonia.free-watch", None, Severity.WATCH),
        ("free-act", "ammonia.free-act", Severity.WATCH, Severity.ACT),
        ("free-emergency", "ammonia.free-emergency", Severity.ACT, Severity.EMERGENCY),
    ],
)
def test_both_sides_of_every_band(
    share_of_edge: str, key: str, below: Severity | None, at_it: Severity
) -> None:
    edge = KNOWLEDGE.value(key)
    one = water(1.0, 7.8)
    share = judge(one.of(Quantity.AMMONIA)[0], one, KNOWLEDGE).best
    total = edge / share
    assert severity(water(total * 0.999, 7.8), "water.ammonia") is below
    assert severity(water(total * 1.001, 7.8), "water.ammonia") is at_it


def test_much_total_at_a_high_ph_asks_for_help_now() -> None:
    assert severity(water(2.0, 8.0, 20.0), "water.ammonia") is Severity.EMERGENCY
    assert severity(water(1.99, 8.0, 20.0), "water.ammonia") is Severity.ACT
    assert severity(water(2.0, 7.9, 20.0), "water.ammonia") is Severity.ACT


# common practice for fish in a growing filter: change a quarter from 0.5 mg/L on
@pytest.mark.parametrize(
    ("total", "low", "groups", "expected"),
    [
        (0.5, None, SHOAL, Severity.ACT),
        (0.49, None, SHOAL, None),
        (0.5, None, (), None),
        (0.5, 0.25, SHOAL, None),  # one color step may be the kit's noise
    ],
)
def test_animals_in_a_growing_filter_need_a_change_from_half_a_milligram_on(
    total: float, low: float | None, groups: tuple[StockGroup, ...], expected: Severity | None
) -> None:
    test = reading(Quantity.AMMONIA, total, HALF_AN_HOUR_AGO, low=low, high=low and 1.0)
    soft = (reading(Quantity.PH, 6.8, HALF_AN_HOUR_AGO), warm(25.0, HALF_AN_HOUR_AGO))
    now = snapshot(NOW, test, *soft, tank=YOUNG, groups=groups)
    assert severity(now, "water.ammonia") is expected


def test_a_card_says_from_to_and_does_not_ask_for_action() -> None:
    things = [
        t for t in calm(NOW) if getattr(t, "quantity", None) not in {Quantity.AMMONIA, Quantity.PH}
    ]
    test = snapshot(
        NOW,
        *things,
        card(0.5, 0.25, 1.0),
        reading(Quantity.PH, 7.4, HALF_AN_HOUR_AGO, low=7.2, high=7.6),
    )
    assert judged(test).state is State.WATCH
    finding = found(test, "water.ammonia")[0]
    assert "between 0.002 and 0.022 mg/L, best guess 0.007" in plain(finding.reason)
    assert len(finding.evidence) == 3
    assert any("÷" in line.text for line in finding.working)
    assert {limit.basis for limit in finding.limits}
    assert finding.action.key == "test-ammonia"


def test_a_correction_takes_the_task_away() -> None:
    misread = snapshot(
        NOW, card(0.5, 0.25, 1.0), reading(Quantity.PH, 8.8, HALF_AN_HOUR_AGO), warm(25.0, NOW)
    )
    assert task(misread, "water-change") is not None
    corrected = snapshot(
        NOW, card(0.5, 0.25, 1.0), reading(Quantity.PH, 6.8, HALF_AN_HOUR_AGO), warm(25.0, NOW)
    )
    assert found(corrected, "water.ammonia") == []


def test_missing_ph_or_temperature_is_assumed_said_and_capped() -> None:
    blind = water(4.0, None, None)
    first, *rest = found(blind, "water.ammonia")
    assert first.severity is Severity.ACT
    assert not first.certain
    assert "pH 8.0 is assumed" in plain(first.reason)
    assert "26.0 °C is assumed" in plain(first.reason)
    assert [f.quantity for f in rest] == [Quantity.PH]
    assert severity(water(4.0, 8.0, 26.0), "water.ammonia") is Severity.EMERGENCY


def test_an_old_ph_does_not_count_as_measured() -> None:
    old = snapshot(
        NOW,
        reading(Quantity.AMMONIA, 1.0, HALF_AN_HOUR_AGO),
        reading(Quantity.PH, 6.5, "2027-01-20 08:00"),
        warm(25.0, HALF_AN_HOUR_AGO),
        tank=YOUNG,
    )
    assert "pH 8.0 is assumed" in plain(found(old, "water.ammonia")[0].reason)


def test_a_doubtful_ph_kit_may_raise_and_not_lower() -> None:
    def with_ph(value: float) -> TankSnapshot:
        return snapshot(
            NOW,
            reading(Quantity.AMMONIA, 0.6, HALF_AN_HOUR_AGO),
            reading(Quantity.PH, value, HALF_AN_HOUR_AGO, kit_doubtful=True),
            warm(26.0, HALF_AN_HOUR_AGO),
            tank=YOUNG,
        )

    assert severity(with_ph(6.5), "water.ammonia") is Severity.ACT  # 8.0 assumed instead
    assert judge(with_ph(8.5).of(Quantity.AMMONIA)[0], with_ph(8.5), KNOWLEDGE).ph.best == 8.5


def test_the_total_counts_in_a_grown_filter_when_the_whole_reading_reaches_it() -> None:
    def grown(*tests: Reading) -> Severity | None:
        sour = reading(Quantity.PH, 6.6, HALF_AN_HOUR_AGO)
        return severity(snapshot(NOW, *tests, sour, warm(24.0, NOW)), "water.ammonia")

    exact = Quantity.AMMONIA
    assert grown(reading(exact, 0.24, HALF_AN_HOUR_AGO)) is None
    assert grown(reading(exact, 0.25, HALF_AN_HOUR_AGO)) is Severity.WATCH
    assert grown(reading(exact, 0.5, HALF_AN_HOUR_AGO)) is Severity.ACT
    assert grown(card(0.5, 0.25, 1.0)) is None
    assert grown(card(1.0, 0.5, 2.0)) is Severity.WATCH
    assert grown(card(2.0, 1.0, None)) is Severity.ACT
    assert grown(card(0.5, 0.25, 1.0, "2027-02-02 09:00"), card(0.5, 0.25, 1.0)) is Severity.ACT
    young = snapshot(
        NOW,
        card(1.0, 0.5, 2.0),
        reading(exact, 1.0, NOW),
        reading(Quantity.PH, 6.4, NOW),
        warm(20.0, NOW),
        tank=YOUNG,
        groups=(),
    )
    assert severity(young, "water.ammonia") is None


def test_lighter_than_the_first_color_raises_only_when_its_high_end_reaches_act() -> None:
    def pale(ph: float) -> Severity | None:
        tube = reading(Quantity.AMMONIA, None, HALF_AN_HOUR_AGO, low=0.0, high=0.25)
        things = (reading(Quantity.PH, ph, HALF_AN_HOUR_AGO), warm(25.0, HALF_AN_HOUR_AGO))
        return severity(snapshot(NOW, tube, *things), "water.ammonia")

    assert pale(7.4) is None  # at most 0.0035
    assert pale(8.4) is Severity.WATCH  # at most 0.031


def test_one_good_test_after_a_bad_one_is_not_enough_and_two_are() -> None:
    def after(*good: str) -> Severity | None:
        ph = (reading(Quantity.PH, 7.4, "2027-02-01 08:00"),)
        warmth = tuple(warm(25.0, w) for w in ("2027-02-01 08:00", *good))
        bad = reading(Quantity.AMMONIA, 2.0, "2027-02-01 08:00")
        tests = tuple(reading(Quantity.AMMONIA, 0.0, w) for w in good)
        return severity(snapshot(NOW, bad, *tests, *ph, *warmth, tank=YOUNG), "water.ammonia")

    assert after() is Severity.ACT
    assert after("2027-02-02 08:00") is Severity.WATCH
    assert after("2027-02-02 08:00", "2027-02-03 08:00") is None


def test_a_doubtful_good_test_clears_nothing() -> None:
    doubtful = reading(Quantity.AMMONIA, 0.0, NOW, kit_doubtful=True)
    bad = water(1.0, 8.2)
    both = snapshot(NOW, *bad.readings, doubtful, tank=YOUNG)
    assert severity(both, "water.ammonia") is Severity.ACT
