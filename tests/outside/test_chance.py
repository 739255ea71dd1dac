"""Dealing numbers into two piles, against the exact permutation test of a statistics library."""

import numpy as np
import pytest
from scipy import stats

from app.science.chance import deals, halves_apart


def _difference(first: np.ndarray, second: np.ndarray, axis: int) -> np.ndarray:
    return np.asarray(np.mean(second, axis=axis) - np.mean(first, axis=axis))


@pytest.mark.parametrize("seed", range(12))
def test_as_many_deals_as_scipy_counts(seed: int) -> None:
    """`scipy.stats.permutation_test` deals every way there is, two-sided by the smaller tail."""
    chance = np.random.default_rng(seed)
    count = int(chance.choice([4, 6, 8]))
    # readings with few digits have many ties, as those of a thermometer do
    values = np.round(chance.normal(24.0, 0.4, count) + seed * 0.1 * np.arange(count) / count, 1)
    found = deals([float(v) for v in values])
    half = count // 2
    tested = stats.permutation_test(
        (values[:half], values[half:]), _difference, permutation_type="independent",
        vectorized=True, alternative="greater", n_resamples=np.inf,
    )  # fmt: skip
    assert found.ways == len(tested.null_distribution)
    as_far = np.abs(tested.null_distribution) >= abs(tested.statistic) - 1e-9
    assert found.as_far == int(as_far.sum())
    assert halves_apart([float(v) for v in values]) == pytest.approx(float(tested.statistic))


def test_a_textbook_deal_by_hand() -> None:
    """Six rising numbers: of 20 deals only the real one and its mirror are so far apart."""
    found = deals([1.0, 2.0, 3.0, 4.0, 5.0, 6.0])
    assert (found.as_far, found.ways, found.apart) == (2, 20, 3.0)


@pytest.mark.parametrize("values", [[], [1.0], [1.0, 2.0, 3.0], [1.0] * 18])
def test_what_cannot_be_halved_is_refused(values: list[float]) -> None:
    with pytest.raises(ValueError, match="even"):
        deals(values)
