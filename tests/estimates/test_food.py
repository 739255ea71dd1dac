"""The food of a day from the meals that were written, worked by hand.

The seven days of food that count end with the present one; with fewer than the least days written
nothing is told.
"""

from datetime import timedelta

import pytest

from app.estimates.food import grams_a_day
from tests.rules.checks import KNOWLEDGE
from tests.situations import Thing, at, fed, snapshot

NOW = "2027-02-12 18:00"
DAYS = int(KNOWLEDGE.value("nitrate.feed-days"))
LEAST = int(KNOWLEDGE.value("nitrate.feed-least-days"))


def meal(days: int, grams: float | None = 0.25, hour: int = 8) -> Thing:
    """A meal so many days ago."""
    return fed(at(f"2027-02-12 {hour:02d}:00") - timedelta(days=days), grams=grams)


def told(*meals: Thing) -> float | None:
    return grams_a_day(snapshot(NOW, *meals), KNOWLEDGE)


def test_the_same_meal_every_day_is_the_food_of_a_day() -> None:
    assert told(*(meal(day) for day in range(DAYS))) == pytest.approx(0.25)


def test_two_meals_a_day_are_twice_the_food() -> None:
    both = [meal(day, hour=hour) for day in range(DAYS) for hour in (8, 17)]

    assert told(*both) == pytest.approx(0.5)


def test_a_day_without_food_counts_as_one() -> None:
    # fed on every second of the days, the first and the last among them
    fed_on = range(0, DAYS, 2)
    over = fed_on[-1] + 1

    assert told(*(meal(day) for day in fed_on)) == pytest.approx(0.25 * len(fed_on) / over)


def test_what_was_fed_before_those_days_is_no_matter() -> None:
    usual = [meal(day) for day in range(DAYS)]

    assert told(*usual, meal(DAYS, grams=9.0)) == pytest.approx(0.25)
    assert told(*usual[:-1], meal(DAYS - 1, grams=9.0)) == pytest.approx(
        (0.25 * (DAYS - 1) + 9.0) / DAYS
    )


def test_one_meal_without_grams_leaves_it_untold() -> None:
    usual = [meal(day) for day in range(DAYS)]

    assert told(*usual, meal(0, grams=None, hour=17)) is None


@pytest.mark.parametrize(("days", "is_told"), [(LEAST, True), (LEAST - 1, False), (0, False)])
def test_few_days_tell_nothing(days: int, is_told: bool) -> None:
    assert (told(*(meal(day) for day in range(days))) is not None) is is_told
