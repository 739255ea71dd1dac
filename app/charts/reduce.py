"""Which readings belong to one line, and how few of them draw the same picture."""

import numpy as np
from numpy.typing import NDArray

from app.domain.series import FloatArray, IntArray

__all__ = ["FloatArray", "IntArray", "alone", "keep", "run_numbers", "with_breaks"]

# A line joins readings only as long as nobody skipped about two of them
# (common practice, no single source)
GAP_FACTOR = 3.0


def run_numbers(
    at: FloatArray,
    kits: IntArray,
    away: list[tuple[float, float]] | None = None,
    least_usual: float = 0.0,
) -> IntArray:
    """Number the unbroken stretches of a series: 0, 0, 0, 1, 1, 2 ...

    A stretch ends where the next reading comes later than `GAP_FACTOR` times the usual
    spacing, is of another kit, or lies beyond a time longer than the usual spacing in which
    nobody was meant to come.

    Args:
        at: Times, ascending, any unit, shape (n,).
        kits: What each was measured with, shape (n,).
        away: Stretches of absence as (start, end) in the unit of `at`.
        least_usual: What the usual spacing is at least, in the unit of `at`.
    """
    if at.size < 2:
        return np.zeros(at.size, dtype=np.int64)
    spacing = np.diff(at)
    usual = max(float(np.median(spacing)), least_usual)
    broken = (kits[1:] != kits[:-1]) | (spacing > GAP_FACTOR * usual)
    for start, end in away or []:
        if end - start > usual:
            after = int(np.searchsorted(at, end, side="left"))
            if 0 < after < at.size and at[after - 1] <= start:
                broken[after - 1] = True
    return np.concatenate(([0], np.cumsum(broken))).astype(np.int64)


def keep(x: FloatArray, low: FloatArray, high: FloatArray, bucket: float = 1.0) -> IntArray:
    """Indices, ascending, of the lowest and the highest reading in each bucket.

    At most two for each bucket, so the highest spike and the deepest dip are always kept. With
    `bucket` one unit of the picture, the line drawn through them looks the same.

    Args:
        x: Places across the picture, ascending, shape (n,).
        low: Least possible value of each reading, finite, shape (n,).
        high: Greatest possible value, finite; equal to `low` for an exact reading.
        bucket: Width of a bucket in units of `x`, above 0.
    """
    if x.size == 0:
        return np.zeros(0, dtype=np.int64)
    column = np.floor((x - x[0]) / bucket)
    starts = np.flatnonzero(np.diff(column, prepend=-1.0))
    sizes = np.diff(starts, append=x.size)
    lowest = np.flatnonzero(low == np.repeat(np.minimum.reduceat(low, starts), sizes))
    highest = np.flatnonzero(high == np.repeat(np.maximum.reduceat(high, starts), sizes))
    # of equal ones in a bucket the first of the lowest and the last of the highest
    lowest = lowest[np.diff(column[lowest], prepend=-1.0) > 0.0]
    highest = highest[np.diff(column[highest], append=np.inf) > 0.0]
    return np.unique(np.concatenate((lowest, highest))).astype(np.int64)


def with_breaks(x: FloatArray, y: FloatArray, runs: IntArray) -> tuple[FloatArray, FloatArray]:
    """Put NaN between stretches, so that one path draws them all with the pen lifted between."""
    places = np.flatnonzero(np.diff(runs)) + 1
    return np.insert(x, places, np.nan), np.insert(y, places, np.nan)


def alone(runs: IntArray) -> NDArray[np.bool_]:
    """Which readings stand without a neighbor in their stretch; a line would not show them."""
    _, where, count = np.unique(runs, return_inverse=True, return_counts=True)
    result: NDArray[np.bool_] = count[where] == 1
    return result
