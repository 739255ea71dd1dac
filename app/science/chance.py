"""Whether a pattern may be chance: all ways to deal numbers into two piles."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from math import fsum

MOST_NUMBERS = 16
"""The ways to deal double with each number: 16 can be dealt in 12,870 ways."""

_ALIKE = 1e-9


@dataclass(frozen=True, slots=True)
class Deals:
    """How many of all ways to deal are as far apart as the real halves, and how far those are."""

    as_far: int
    ways: int
    apart: float


def halves_apart(values: Sequence[float]) -> float:
    """How far the mean of the second half lies above that of the first, in their unit.

    Raises:
        ValueError: If the numbers are not of an even count from 2 on.
    """
    half = _half(values)
    return fsum(values[half:]) / half - fsum(values[:half]) / half


def deals(values: Sequence[float]) -> Deals:
    """Deal the numbers into two equal piles in every way, and count the piles as far apart.

    Args:
        values: The numbers in order of time; an even count from 2 to 16.

    Returns:
        The count of ways whose piles are at least as far apart as first and second half, either
        way round, the count of all ways, and how far the halves are apart.

    Raises:
        ValueError: If the count does not fit.

    Source:
        Fisher's exact randomization test of two means (common practice of statistics).
    """
    half, apart = _half(values), abs(halves_apart(values))
    total = fsum(values)
    found = [
        abs(2.0 * fsum(values[i] for i in pile) - total) / half
        for pile in combinations(range(len(values)), half)
    ]
    as_far = sum(each >= apart - _ALIKE for each in found)
    return Deals(as_far=as_far, ways=len(found), apart=apart)


def _half(values: Sequence[float]) -> int:
    if len(values) % 2 or not 2 <= len(values) <= MOST_NUMBERS:
        raise ValueError(f"the count must be even, from 2 to {MOST_NUMBERS}")
    return len(values) // 2
