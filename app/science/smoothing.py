"""Smoothing a series in which the newest readings count most."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from app.science.bounds import require_above_zero, require_within


def smoothed(values: NDArray[np.float64], weight: float) -> NDArray[np.float64]:
    """What a series settles around after each of its readings.

    Args:
        values: Readings in their order, shape (n,), n at least 1.
        weight: How far each reading moves it, above 0 and at most 1; 1 is the reading itself.

    Returns:
        Levels, shape (n,).

    Raises:
        ValueError: If there is no reading, or the weight lies outside its range.

    Source:
        Simple exponential smoothing (Brown), as in handbooks of statistics.
    """
    require_above_zero("weight", weight)
    require_within("weight", weight, 0.0, 1.0)
    if not len(values):
        raise ValueError("values must hold a reading")
    levels = np.empty(len(values))
    level = float(values[0])
    for at, value in enumerate(values):
        level += weight * (float(value) - level)
        levels[at] = level
    return levels
