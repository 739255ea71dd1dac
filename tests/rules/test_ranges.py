"""The range that forms and charts show: our own, what the animals need, the general one."""

import pytest

from app.domain.livestock import StockGroup
from app.domain.quantities import Quantity
from app.domain.tank import Range
from app.rules.lodgers import Lodger
from app.rules.ranges import RangeShown, range_shown
from tests.rules.checks import severity
from tests.rules.living import KNOWLEDGE, made
from tests.situations import TANK, snapshot, tank, warm

WARM, PH = Quantity.TEMPERATURE, Quantity.PH
COOL = made(name="Ada’s fish", temp_c=(18.0, 24.0), ph=(6.0, 7.5))
MILD = made(name="Ben’s fish", temp_c=(20.0, 26.0), ph=(6.5, 8.0))
HOT = made(name="Cleo’s fish", temp_c=(27.0, 30.0), ph=(5.0, 6.0))
UNKNOWN = Lodger("Somebody", 1, None)


def shown(*animals: Lodger, quantity: Quantity = WARM, **own: float | None) -> RangeShown:
    where = TANK
    if own:
        where = tank(ranges=(Range(quantity=quantity, low=own["low"], high=own["high"]),))
    found = range_shown(where, animals, quantity, KNOWLEDGE)
    assert found is not None
    return found


@pytest.mark.parametrize(
    ("quantity", "low", "high"), [(WARM, 20.0, 24.0), (PH, 6.5, 7.5)]
)  # by hand: the higher of both low ends, the lower of both high ends
def test_it_is_the_overlap_of_what_the_animals_need(
    quantity: Quantity, low: float, high: float
) -> None:
    found = shown(COOL, MILD, quantity=quantity)
    assert (found.low, found.high, found.label) == (low, high, "the animals’ range")
    assert "Ben’s fish and Ada’s fish" in found.source


@pytest.mark.parametrize("animals", [(), (UNKNOWN,), (COOL, HOT)])
def test_without_needs_or_without_an_overlap_the_general_range_stays(
    animals: tuple[Lodger, ...],
) -> None:
    found = shown(*animals)
    assert found.label == "the general range"
    assert found.low == KNOWLEDGE.value("temperature.general-low")
    assert found.high == KNOWLEDGE.value("temperature.general-high")


def test_our_own_range_comes_before_the_needs() -> None:
    found = shown(COOL, MILD, low=21.0, high=23.0)
    assert (found.low, found.high, found.label) == (21.0, 23.0, "our range")


def test_an_end_that_nobody_set_is_that_of_the_animals() -> None:
    found = shown(COOL, MILD, low=None, high=23.0)
    assert (found.low, found.high) == (20.0, 23.0)


def test_nitrate_does_not_follow_the_animals() -> None:
    assert shown(COOL, quantity=Quantity.NITRATE) == shown(quantity=Quantity.NITRATE)


@pytest.mark.parametrize("name", ["Neon tetra", "Kuhli loach", "Green swordtail"])
def test_the_state_turns_where_the_shown_range_ends(name: str) -> None:
    species = next(s for s in KNOWLEDGE.species.values() if s.common_name == name)
    group = StockGroup(id=1, name=name, count=8, species=species.scientific_name)
    band = range_shown(TANK, (Lodger(name, 8, species),), WARM, KNOWLEDGE)
    assert band is not None
    assert band.low is not None
    for value, is_out in ((band.low, False), (band.low - 0.1, True)):
        there = snapshot("2027-02-03 09:00", warm(value, "2027-02-03 09:00"), groups=(group,))
        assert (severity(there, "temperature.out-of-range") is not None) is is_out
