"""Fewer points, the same picture. Checked against plain numpy minima and maxima."""

import numpy as np
import pytest

from app.charts.reduce import alone, keep, run_numbers, with_breaks

NO_KITS = np.zeros(6, dtype=np.int64)


def test_each_bucket_keeps_its_lowest_and_highest_as_numpy_finds_them() -> None:
    rng = np.random.default_rng(7)
    x = np.sort(rng.uniform(0.0, 50.0, 4_000))
    y = rng.normal(size=4_000)
    kept = keep(x, y, y)
    column = np.floor(x - x[0])
    for bucket in np.unique(column):
        all_in, kept_in = y[column == bucket], y[kept][column[kept] == bucket]
        assert kept_in.min() == all_in.min()
        assert kept_in.max() == all_in.max()
        assert kept_in.size <= 2
    assert np.all(np.diff(kept) > 0)


def test_ranges_keep_the_lowest_low_and_the_highest_high() -> None:
    x = np.array([0.1, 0.2, 0.3, 0.4])
    low = np.array([5.0, 1.0, 4.0, 4.5])
    high = np.array([6.0, 5.0, 7.0, 40.0])
    assert keep(x, low, high).tolist() == [1, 3]


def test_nothing_and_one_reading_stay_as_they_are() -> None:
    none, one = np.zeros(0), np.array([3.0])
    assert keep(none, none, none).size == 0
    assert keep(one, one, one).tolist() == [0]
    assert run_numbers(none, NO_KITS[:0]).size == 0
    assert run_numbers(one, NO_KITS[:1]).tolist() == [0]


@pytest.mark.parametrize(("pause", "runs"), [(3.0, [0] * 6), (3.01, [0, 0, 0, 1, 1, 1])])
def test_a_line_breaks_above_three_times_the_usual_spacing(pause: float, runs: list[int]) -> None:
    at = np.array([0.0, 1.0, 2.0, 2.0 + pause, 3.0 + pause, 4.0 + pause])
    assert run_numbers(at, NO_KITS).tolist() == runs


def test_a_line_breaks_at_another_kit() -> None:
    kits = np.array([1, 1, 2, 2, 2, 1])
    assert run_numbers(np.arange(6.0), kits).tolist() == [0, 0, 1, 1, 1, 2]


@pytest.mark.parametrize(
    ("away", "broken"),
    [((2.1, 3.9), True), ((2.1, 2.9), False), ((1.9, 3.9), False), ((6.5, 9.0), False)],
)
def test_a_line_breaks_over_an_absence_longer_than_the_usual_spacing(
    away: tuple[float, float], broken: bool
) -> None:
    at = np.array([0.0, 1.0, 2.0, 4.0, 5.0, 6.0])  # the pause alone is short enough
    assert run_numbers(at, NO_KITS, [away])[-1] == int(broken)


def test_the_pen_is_lifted_between_stretches_and_lone_readings_are_found() -> None:
    runs = np.array([0, 0, 1, 2, 2])
    x, y = with_breaks(np.arange(5.0), np.arange(5.0) + 10, runs)
    assert np.isnan(x).nonzero()[0].tolist() == [2, 4]
    assert np.isnan(y).nonzero()[0].tolist() == [2, 4]
    assert alone(runs).tolist() == [False, False, True, False, False]
