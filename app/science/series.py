"""Readings in time: trends that outliers and color cards cannot fake, gaps, what is unusual.

Times are numbers in any one unit, such as days. Readings that were not taken are NaN and are left
out; a line is never drawn across them by these functions.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

from app.science.bounds import require_above_zero

Numbers = Sequence[float] | NDArray[np.float64]

MOST_FOR_PAIRS = 200
"""Pairs grow with the square of the readings: more readings than this become so many medians."""

SD_PER_MAD = 1.4826
"""Standard deviation of normal data per median absolute deviation."""


class Direction(StrEnum):
    """What a series of readings with steps allows one to say."""

    UP = "up"
    DOWN = "down"
    STEADY = "steady"
    CANT_TELL = "can't tell"


@dataclass(frozen=True, slots=True)
class Slope:
    """A slope and the interval that holds it; NaN where readings are too few."""

    middle: float
    low: float
    high: float


def robust_slope(times: Numbers, values: Numbers) -> float:
    """Median of the slopes between all pairs of readings; a single wild reading hardly moves it.

    Args:
        times: Times of the readings, any order; repeats are allowed.
        values: The readings, same length; NaN is left out. More than 200 readings are first made
            200 medians of neighbors in time.

    Returns:
        Slope in units of the values per unit of time; NaN with fewer than two distinct times.

    Raises:
        ValueError: If the lengths differ.

    Source:
        Sen (1968), J. Am. Stat. Assoc. 63, 1379-1389, after Theil (1950).
    """
    slopes = _pair_slopes(*_thinned(*_paired(times, values)))
    return float(np.median(slopes)) if len(slopes) else math.nan


def slope_interval(times: Numbers, values: Numbers, *, confidence: float = 0.9) -> Slope:
    """The robust slope with the interval that holds the true one so often.

    The interval runs between two of the sorted slopes of all pairs, so far from the middle as
    chance alone would bring them. It takes the readings as independent of each other, which the
    readings of a logger are not: for those it is too narrow. An interval with 0 inside means that
    nobody can tell the direction.

    Args:
        times: As for ``robust_slope``.
        values: As for ``robust_slope``; also thinned in the same way.
        confidence: How often such an interval holds the true slope, 0.5 to below 1.

    Returns:
        Slope and interval in units of the values per unit of time.

    Raises:
        ValueError: If the lengths differ or ``confidence`` lies outside its range.

    Source:
        Sen (1968), equation 2.6, as for ``robust_slope``.
    """
    if not 0.5 <= confidence < 1.0:
        raise ValueError("confidence must be at least 0.5 and below 1")
    at, reading = _thinned(*_paired(times, values))
    slopes = np.sort(_pair_slopes(at, reading))
    if not len(slopes):
        return Slope(math.nan, math.nan, math.nan)
    count = len(at)
    ties = _tie_term(at) + _tie_term(reading)
    spread = math.sqrt(max(count * (count - 1) * (2 * count + 5) - ties, 0.0) / 18.0)
    away = NormalDist().inv_cdf((1.0 + confidence) / 2.0) * spread
    low = max(round((len(slopes) - away) / 2.0) - 1, 0)
    high = min(round((len(slopes) + away) / 2.0), len(slopes) - 1)
    return Slope(float(np.median(slopes)), float(slopes[low]), float(slopes[high]))


def direction(lows: Numbers, highs: Numbers, *, steady_within: float = 0.0) -> Direction:
    """Say where readings go that are only known to lie between a low and a high end.

    A later reading is surely higher than an earlier one when its low end lies above the other's
    high end. One sure rise and no sure fall is "up"; the other way round is "down". While one
    unchanged value fits all intervals, nobody can tell, except where the intervals leave so little
    room that the value cannot have moved by more than ``steady_within``: that is "steady".

    Args:
        lows: Lowest possible value of each reading, in order of time; one entry of a pair being
            NaN leaves the pair out.
        highs: Highest possible value of each reading, at least the low end; may be infinite.
        steady_within: Largest movement that counts as none, at least 0, unit of the readings.

    Returns:
        The direction; "can't tell" with fewer than two readings, or when it rose and fell.

    Raises:
        ValueError: If lengths differ or an interval is upside down.
    """
    low, high = _paired(lows, highs)
    if np.any(low > high):
        raise ValueError("no low end may lie above its high end")
    if len(low) < 2:
        return Direction.CANT_TELL
    if np.max(high) - np.min(low) <= steady_within:
        return Direction.STEADY
    rose = bool(np.any(low[1:] > np.minimum.accumulate(high)[:-1]))
    fell = bool(np.any(high[1:] < np.maximum.accumulate(low)[:-1]))
    if rose == fell:
        return Direction.CANT_TELL
    return Direction.UP if rose else Direction.DOWN


def gaps(times: Numbers, largest_spacing: float) -> list[tuple[float, float]]:
    """Stretches without readings that are too long to draw a line across.

    Args:
        times: Times of the readings in rising order; repeats are allowed.
        largest_spacing: Longest spacing that is no gap, above 0, same unit.

    Returns:
        Pairs of the last time before and the first time after each gap, in order.

    Raises:
        ValueError: If times are out of order or unknown, or the spacing is not above 0.
    """
    require_above_zero("largest_spacing", largest_spacing)
    at = np.asarray(times, dtype=np.float64)
    spacing = np.diff(at)
    if np.any(np.isnan(at)) or np.any(spacing < 0.0):
        raise ValueError("times must be known and in rising order")
    return [(float(at[i]), float(at[i + 1])) for i in np.flatnonzero(spacing > largest_spacing)]


def rolling_median(values: Numbers, window: int) -> NDArray[np.float64]:
    """Median of each reading and its neighbors; single wild readings vanish, steps stay sharp.

    Args:
        values: Readings at even spacing; NaN is left out of each window.
        window: Number of readings in a full window, odd; shorter at both ends.

    Returns:
        Array of the length of ``values``; NaN where a window holds no reading.

    Raises:
        ValueError: If ``window`` is not an odd number from 1.
    """
    if window < 1 or window % 2 == 0:
        raise ValueError("window must be an odd number from 1")
    half = window // 2
    reading = np.asarray(values, dtype=np.float64)
    return np.array(
        [_median(reading[max(i - half, 0) : i + half + 1]) for i in range(len(reading))],
        dtype=np.float64,
    )


def distance_from_history(value: float, history: Numbers, *, resolution: float) -> float:
    """How far a reading lies from what this tank has shown so far.

    Args:
        value: The new reading.
        history: Earlier readings of the same quantity; NaN is left out.
        resolution: Smallest difference that means anything, above 0, same unit: without it a
            history of equal readings would call every other reading wild.

    Returns:
        Signed distance from the median of the history, in standard deviations estimated by the
        median absolute deviation, or in resolutions where those are larger. NaN with fewer than
        three earlier readings.

    Raises:
        ValueError: If ``resolution`` is not above 0.

    Source:
        Iglewicz and Hoaglin (1993), How to Detect and Handle Outliers, for the scaled deviation.
    """
    require_above_zero("resolution", resolution)
    earlier = np.asarray(history, dtype=np.float64)
    earlier = earlier[~np.isnan(earlier)]
    if len(earlier) < 3:
        return math.nan
    center = float(np.median(earlier))
    scale = SD_PER_MAD * float(np.median(np.abs(earlier - center)))
    return (value - center) / max(scale, resolution)


def _pair_slopes(at: NDArray[np.float64], reading: NDArray[np.float64]) -> NDArray[np.float64]:
    """Slopes between all pairs at distinct times."""
    earlier, later = np.triu_indices(len(at), k=1)
    run = at[later] - at[earlier]
    rise = reading[later] - reading[earlier]
    apart = run != 0.0
    slopes: NDArray[np.float64] = rise[apart] / run[apart]
    return slopes


def _thinned(
    at: NDArray[np.float64], reading: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The readings themselves, or the medians of 200 equally large groups of neighbors in time."""
    if len(at) <= MOST_FOR_PAIRS:
        return at, reading
    order = np.argsort(at, kind="stable")
    groups = np.array_split(order, MOST_FOR_PAIRS)
    return (
        np.array([np.median(at[group]) for group in groups]),
        np.array([np.median(reading[group]) for group in groups]),
    )


def _tie_term(values: NDArray[np.float64]) -> float:
    """What equal values take away from the variance of the number of rises and falls."""
    _, repeats = np.unique(values, return_counts=True)
    return float(np.sum(repeats * (repeats - 1) * (2 * repeats + 5)))


def _median(window: NDArray[np.float64]) -> float:
    known = window[~np.isnan(window)]
    return float(np.median(known)) if len(known) else math.nan


def _paired(first: Numbers, second: Numbers) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Both as arrays of one length, without the pairs in which either is missing."""
    a = np.asarray(first, dtype=np.float64)
    b = np.asarray(second, dtype=np.float64)
    if a.shape != b.shape or a.ndim != 1:
        raise ValueError("both sequences must be flat and of the same length")
    known = ~(np.isnan(a) | np.isnan(b))
    return a[known], b[known]
