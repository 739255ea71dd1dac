"""A length from two pairs of points in a picture: a ruler's, and an animal's."""

import math
from dataclasses import dataclass

from app.science.bounds import require_above_zero, require_within

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class LengthInPicture:
    """A length in cm: the best guess, and what it could be when each point is a little off."""

    low: float
    best: float
    high: float


def length_in_picture(
    ruler: tuple[Point, Point], ruler_cm: float, animal: tuple[Point, Point], slip: float
) -> LengthInPicture:
    """How long an animal is beside a ruler in the same picture, at the same distance.

    The animal's part of the picture is held against the ruler's: equal parts of one plane that
    lies square to the view are equal lengths. Each of the four points may be off by `slip` in
    any direction, so each of the two distances may be off by twice as much.

    Args:
        ruler: Where two marks of the ruler are, in any one unit of length across the picture.
        ruler_cm: How far these marks are apart on the ruler, in cm, above 0.
        animal: Where the animal begins and ends, in the same unit.
        slip: How far a point may be off, in the same unit, 0 or more.

    Returns:
        Low, best and high length in cm; low is 0 where both points of the animal may be one.

    Raises:
        ValueError: If the points of the ruler are so near that they may be one.
    """
    require_above_zero("ruler_cm", ruler_cm)
    require_within("slip", slip, 0.0)
    on_ruler, on_animal = math.dist(*ruler), math.dist(*animal)
    if on_ruler <= 2.0 * slip or on_ruler == 0.0:
        raise ValueError("the points of the ruler are too near to each other")
    return LengthInPicture(
        low=ruler_cm * max(0.0, on_animal - 2.0 * slip) / (on_ruler + 2.0 * slip),
        best=ruler_cm * on_animal / on_ruler,
        high=ruler_cm * (on_animal + 2.0 * slip) / (on_ruler - 2.0 * slip),
    )
