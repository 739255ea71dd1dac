"""How the ends of inputs are carried through a sum: against the root of squares, and by chance.

Source of the rule: JCGM 100:2008 (GUM), 5.1.2, for inputs that do not depend on each other. The
outside check draws the inputs a hundred thousand times with numpy.
"""

import math
from collections.abc import Mapping

import numpy as np
import pytest

from app.estimates.model import Compute, Input, Origin, exact, spread, title_of

SURE = 1.6448536  # nine in ten of a normal distribution lie within so many standard deviations
DRAWS = 100_000


def given(name: str, low: float, best: float, high: float) -> Input:
    return Input(
        name=name, title=f"The {name}", low=low, best=best, high=high, origin=Origin.ASSUMED
    )


def total(of: Mapping[str, float]) -> float:
    return of["a"] + 2.0 * of["b"] - of["c"]


def product(of: Mapping[str, float]) -> float:
    return of["a"] * of["b"] / of["c"]


INPUTS = (given("a", 9.0, 10.0, 11.0), given("b", 4.0, 5.0, 6.0), given("c", 1.5, 2.0, 2.5))


def test_a_sum_by_hand() -> None:
    # 10 + 10 - 2; root of 1 + 4 + 0.25 is 2.29 to both sides
    found = spread(total, INPUTS)

    assert found.best == 18.0
    assert (found.best - found.low, found.high - found.best) == pytest.approx((2.291, 2.291), 1e-3)


def test_what_falls_with_an_input_takes_its_other_end() -> None:
    found = spread(lambda of: 20.0 - of["a"], (given("a", 9.0, 10.0, 13.0),))

    assert (found.low, found.best, found.high) == pytest.approx((7.0, 10.0, 11.0))


def test_a_product_by_hand_is_wider_upwards() -> None:
    # 25; a moves it by 2.5 either way, b by 5, c up to 33.33 and down to 20: roots of 6.25 + 25 +
    # 69.4 and of 6.25 + 25 + 25
    found = spread(product, INPUTS)

    assert found.best == 25.0
    assert found.high - found.best == pytest.approx(math.sqrt(6.25 + 25.0 + 69.444), abs=1e-3)
    assert found.best - found.low == pytest.approx(7.5)


@pytest.mark.parametrize(("name", "compute"), [("sum", total), ("product", product)])
def test_nine_in_ten_of_many_draws_lie_between_the_ends(name: str, compute: Compute) -> None:
    """Each input normal around its best, its ends where nine in ten lie."""
    random = np.random.default_rng(9)
    inputs = (given("a", 9.5, 10.0, 10.5), given("b", 4.6, 5.0, 5.4), given("c", 1.9, 2.0, 2.1))
    drawn = {
        each.name: random.normal(each.best, (each.high - each.best) / SURE, DRAWS)
        for each in inputs
    }
    found, seen = spread(compute, inputs), np.quantile(compute(drawn), [0.05, 0.95])  # type: ignore[arg-type]

    # exact for a sum; a product's bend is small where inputs are within a tenth
    off = 0.01 if name == "sum" else 0.06
    assert np.array([found.low, found.high]) - found.best == pytest.approx(
        seen - found.best, rel=off
    )


def test_what_widens_it_most_narrows_it_most() -> None:
    found = spread(total, INPUTS)

    assert found.narrows_most == "b"
    # known b leaves the root of 1 + 0.25, 1.118 to both sides
    assert found.by_input["b"] == pytest.approx(2.0 * (2.2913 - 1.1180), abs=1e-3)


def test_what_is_exact_widens_nothing_and_is_never_asked_for() -> None:
    known = exact("a", "The a", 10.0, "g", origin=Origin.WRITTEN)
    found = spread(total, (known, INPUTS[1], INPUTS[2]))

    assert "a" not in found.by_input
    assert spread(lambda of: of["a"], (known,)).narrows_most == ""


def test_an_input_that_changes_nothing_is_not_asked_for() -> None:
    assert spread(lambda of: 3.0, INPUTS).narrows_most == ""


def test_both_ends_on_one_side_give_no_width_to_the_other() -> None:
    """A top at the best guess: either end lowers it."""
    found = spread(lambda of: 5.0 - (of["a"] - 10.0) ** 2, (given("a", 9.0, 10.0, 12.0),))

    assert (found.low, found.best, found.high) == pytest.approx((1.0, 5.0, 5.0))


@pytest.mark.parametrize(("name", "title"), [("b", "The b"), ("z", ""), ("", "")])
def test_an_input_is_called_by_its_title(name: str, title: str) -> None:
    assert title_of(name, INPUTS) == title
