"""Several readers of one tube: the middle value and the widest bounds, never an average."""

import pytest

from app.domain.guard import DARKER, LIGHTER, card_reading
from app.domain.kit import Kit
from app.domain.quantities import Quantity
from app.domain.tube import Seen, Tube

CARD = Kit(
    id=1, quantity=Quantity.NITRATE, name="Card", unit="mg/L", basis="as nitrate",
    steps=(5, 10, 20, 40, 80),
)  # fmt: skip


def tube(*colors: str) -> Tube:
    """A tube with one reader for each of these colors of the card."""
    read = [card_reading(CARD, color) for color in colors]
    return Tube(tuple(Seen(r.value, r.low, r.high, r.typed) for r in read))


@pytest.mark.parametrize(
    ("colors", "value", "low", "high"),
    [
        # the middle of 10, 20, 20 is 20; the mean would be 16.7, a color that no card has
        (("10", "20", "20"), 20, 5, 40),
        (("20", "10", "20"), 20, 5, 40),
        (("10",), 10, 5, 20),
        # of an even number the higher of the two in the middle
        (("10", "20"), 20, 5, 40),
        (("5", "10", "20", "40"), 20, 0, 80),
        # beyond the ends of the card
        ((LIGHTER, LIGHTER, "5"), None, 0, 10),
        ((LIGHTER, "5", "5"), 5, 0, 10),
        (("40", DARKER, DARKER), None, 20, None),
        (("20", "40", DARKER), 40, 10, None),
    ],
)
def test_the_middle_color_counts_and_the_bounds_are_the_widest(
    colors: tuple[str, ...], value: float | None, low: float, high: float | None
) -> None:
    found = tube(*colors)
    assert (found.value, found.low, found.high) == (value, low, high)


@pytest.mark.parametrize(
    ("colors", "certain"), [((LIGHTER, LIGHTER, "5"), 0), (("40", DARKER, DARKER), 80)]
)
def test_beyond_the_card_the_end_that_the_middle_reader_saw_is_certain(
    colors: tuple[str, ...], certain: float
) -> None:
    assert tube(*colors).middle.low == certain


def test_the_readers_stand_in_the_order_of_what_they_saw() -> None:
    found = tube("40", DARKER, "10", LIGHTER)
    assert [seen.typed for seen in found.in_order] == [LIGHTER, "10", "40", DARKER]
    assert not found.agreed
    assert tube("10", "10").agreed


def test_numbers_have_a_median_and_their_own_ends() -> None:
    found = Tube((Seen(8.5), Seen(6.5)))
    assert (found.value, found.low, found.high) == (7.5, 6.5, 8.5)
    assert not found.is_color


def test_another_unit_changes_every_bound() -> None:
    found = tube("10", "20").through(lambda value: value * 2)
    assert (found.value, found.low, found.high) == (40, 10, 80)
    assert tube(DARKER).through(lambda value: value * 2).high is None
