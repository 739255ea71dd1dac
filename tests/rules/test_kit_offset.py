"""Kits that were off: which of their readings are in doubt. Edges are our own choice."""

from dataclasses import replace
from datetime import timedelta

import pytest

from app.domain.kit import Kit, KitComparison
from app.domain.quantities import Quantity
from app.domain.tank import Range
from app.rules.kit_offset import offset_limit, with_doubts
from app.rules.model import Severity
from tests.rules.checks import KNOWLEDGE, severity
from tests.situations import at, reading, snapshot, tank

NOW = "2027-02-12 09:00"
METER = Kit(id=9, quantity=Quantity.PH, name="Meter", unit="")
OTHER = replace(METER, id=8)
CARD = Kit(
    id=9, quantity=Quantity.NITRATE, name="Card", unit="mg/L", basis="as N", steps=(0.0, 5.0, 10.0)
)


def compared(days: float, offset: float, kit_id: int = 9) -> KitComparison:
    moment = at(NOW) - timedelta(days=days)
    return KitComparison(id=1, kit_id=kit_id, at=moment, known=7.0, read=7.0 + offset)


def doubts(*made: KitComparison, kit_id: int = 9) -> list[bool]:
    """Whether the pH readings of 9, 5 and 1 days ago are in doubt."""
    read = [
        reading(Quantity.PH, 7.0, at(NOW) - timedelta(days=days), kit_id=kit_id)
        for days in (9, 5, 1)
    ]
    ascending = tuple(sorted(made, key=lambda c: c.at))
    found = with_doubts(snapshot(NOW, METER, OTHER, *read, comparisons=ascending), KNOWLEDGE)
    return [r.kit_doubtful for r in found.of(Quantity.PH)]


OFF, NEAR = 0.4, 0.3  # a pH meter may be off by 0.3


@pytest.mark.parametrize(
    ("made", "expected"),
    [
        ((), [False, False, False]),
        ((compared(3, NEAR),), [False, False, False]),
        # a kit that is off now was hardly right before, and is not right after
        ((compared(3, OFF),), [True, True, True]),
        ((compared(3, -OFF),), [True, True, True]),
        # the test of 9 days ago stands before a good comparison, that of 1 day ago after one
        ((compared(7, NEAR), compared(3, OFF)), [False, True, True]),
        ((compared(7, OFF), compared(3, NEAR)), [True, True, False]),
        # right after the test, and at the same moment
        ((compared(7, NEAR), compared(5, OFF), compared(3, NEAR)), [False, True, False]),
        # another meter
        ((compared(3, OFF, kit_id=8),), [False, False, False]),
    ],
)
def test_readings_beside_a_comparison_that_was_off(
    made: tuple[KitComparison, ...], expected: list[bool]
) -> None:
    assert doubts(*made) == expected


def test_a_comparison_of_no_kit_at_hand_casts_no_doubt() -> None:
    assert doubts(compared(3, OFF, kit_id=77)) == [False, False, False]


def test_a_reading_of_an_unknown_kit_stays_as_it_is() -> None:
    tank = snapshot(NOW, METER, reading(Quantity.PH, 7.0, NOW), comparisons=(compared(3, OFF),))
    assert not with_doubts(tank, KNOWLEDGE).readings[0].kit_doubtful


@pytest.mark.parametrize(("kit_id", "expected"), [(8, None), (9, Severity.ACT)])
def test_a_good_test_of_a_kit_that_is_off_ends_nothing(
    kit_id: int, expected: Severity | None
) -> None:
    cold = reading(Quantity.TEMPERATURE, 20.0, "2027-02-03 08:00")
    good = reading(Quantity.TEMPERATURE, 24.0, "2027-02-12 08:00", kit_id=kit_id)
    off = KitComparison(id=1, kit_id=9, at=at("2027-02-12 08:30"), known=0.0, read=1.1)
    glass = replace(METER, quantity=Quantity.TEMPERATURE)
    both = (glass, replace(glass, id=8))
    own = (Range(quantity=Quantity.TEMPERATURE, low=23.0, high=26.0),)
    now = snapshot(NOW, *both, cold, good, comparisons=(off,), tank=tank(ranges=own))
    assert severity(with_doubts(now, KNOWLEDGE), "temperature.out-of-range") is expected


def test_the_limit_that_is_shown_is_the_one_that_decides() -> None:
    assert offset_limit(METER, KNOWLEDGE).text == "A pH meter, at most off by: 0.3"
    assert "one color" in offset_limit(CARD, KNOWLEDGE).text
    drops = replace(CARD, steps=())
    assert offset_limit(drops, KNOWLEDGE).text == "Another meter, at most off by: 20\u00a0%"
