"""Two unknowns of a straight course, from readings that are ranges: how likely is each pair.

The course is ``start * kept + pace * gained + known``: where it started, what of that is left at
each reading, and how much a pace has brought by then. A color card tells a range, so that every
pair is weighed by how well it goes through all ranges; no mean of steps is ever taken.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

SLIP = 0.02
"""No reading makes a course less likely than this: a tube may not have been shaken."""
BINS = 4096
"""Steps in which the values at one moment are counted."""
_NARROWEST = 1e-9
_LOGISTIC = 1.702
_LARGEST = 60.0


@dataclass(frozen=True, slots=True)
class Weighed:
    """Pairs of start and pace on a grid, and the weight of each; the weights sum to 1."""

    starts: Floats
    paces: Floats
    weights: Floats

    def pace(self, *shares: float) -> tuple[float, ...]:
        """The paces below which these shares (0 to 1) of the weight lie."""
        return quantiles(self.paces, self.weights, shares)

    def values(self, kept: Floats, gained: Floats, known: Floats, *shares: float) -> Floats:
        """The values of the course below which these shares of the weight lie, at each moment.

        Many moments cost little: weights are counted in `BINS` equal steps, never sorted. What
        comes out is the middle of a step, from the lowest to the highest value of all pairs.

        Args:
            kept: What of the start is left at each moment, shape (n,).
            gained: What a pace of 1 has brought by then, same shape.
            known: What came otherwise, same shape.
            shares: Each from 0 to 1.

        Returns:
            Values, shape (n, len(shares)).
        """
        found = np.empty((len(kept), len(shares)))
        for row, (left, brought, came) in enumerate(zip(kept, gained, known, strict=True)):
            course = self.starts * left + self.paces * brought + came
            low = course.min()
            step = max(course.max() - low, _NARROWEST) / BINS
            places = np.minimum((course - low) / step, BINS - 1).astype(np.intp)
            below = np.cumsum(np.bincount(places, self.weights, BINS))
            at = np.minimum(np.searchsorted(below, shares), BINS - 1)
            found[row] = low + (at + 0.5) * step
        return found


def weigh(
    lows: Floats,
    highs: Floats,
    *,
    kept: Floats,
    gained: Floats,
    known: Floats,
    starts: Floats,
    paces: Floats,
    pace_weights: Floats | None = None,
    off_part: Floats,
    off_least: float,
) -> Weighed:
    """Weigh every pair of start and pace by how well it goes through the readings.

    Args:
        lows: Low end of each reading, shape (n,).
        highs: High end, same shape; `inf` where a card has no end.
        kept: What of the start is left at each reading, same shape, 0 to 1.
        gained: What a pace of 1 has brought by then, same shape.
        known: What came otherwise, such as with tap water, same shape.
        starts: Starts to try, shape (a,).
        paces: Paces to try, shape (b,).
        pace_weights: How likely each pace is before any reading, shape (b,); None: all alike.
        off_part: How far each reading is off besides its range, as a part of the true value,
            at least 0, shape (n,); more for an old one counts it for less.
        off_least: And no less than this, in the unit of the readings, above 0.

    Returns:
        All a * b pairs with their weights.

    Raises:
        ValueError: If there is no reading, shapes differ, or a low end lies above a high one.

    Source:
        Bayes's rule on a grid, with interval-censored readings (as in textbooks of survival
        analysis), the error's cumulative curve by the logistic one, and a floor so that no single
        reading decides.
    """
    if not len(lows) or len({len(lows), len(highs), len(kept), len(gained), len(known)}) > 1:
        raise ValueError("readings and their courses must have one length above 0")
    if (lows > highs).any():
        raise ValueError("a low end lies above its high end")
    first, second = (side.ravel() for side in np.meshgrid(starts, paces, indexing="ij"))
    before = np.ones(len(paces)) if pace_weights is None else pace_weights
    logs = np.log(np.tile(before, len(starts)) + 1e-300)
    for low, high, left, brought, came, part in zip(
        lows, highs, kept, gained, known, off_part, strict=True
    ):
        course = first * left + second * brought + came
        off = np.maximum(part * course, off_least)
        logs += np.log(_inside(course, low, high, off) * (1.0 - SLIP) + SLIP)
    weights = np.exp(logs - logs.max())
    return Weighed(first, second, weights / weights.sum())


def _inside(course: Floats, low: float, high: float, off: Floats) -> Floats:
    """How likely each true value gives a reading between two ends.

    A reading without width is taken as one of a scale as fine as its error.
    """
    half = off / 2.0 if high == low else 0.0
    return _step((course - low + half) / off) * (1.0 - _step((course - high - half) / off))


def _step(by: Floats) -> Floats:
    """The cumulative curve of an error, by the logistic one."""
    return 1.0 / (1.0 + np.exp(-np.clip(_LOGISTIC * by, -_LARGEST, _LARGEST)))


def quantiles(
    values: Sequence[float] | Floats, weights: Floats, shares: Sequence[float]
) -> tuple[float, ...]:
    """The values below which these shares of the weight lie.

    Args:
        values: Any numbers, also `inf`, shape (n,).
        weights: At least 0, with a sum of 1, same shape.
        shares: Each from 0 to 1.

    Returns:
        One of the values for each share.
    """
    found = np.asarray(values, dtype=np.float64)
    order = np.argsort(found)
    below = np.cumsum(weights[order])
    at = np.minimum(np.searchsorted(below, shares), len(order) - 1)
    return tuple(float(value) for value in found[order][at])
