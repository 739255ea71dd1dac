"""The value types of this layer, and the one way in which it refuses a value."""

from __future__ import annotations

import math
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

FloatOrArray = TypeVar("FloatOrArray", float, NDArray[np.float64])
"""Floats in, float out; arrays in, array out."""


def require_within(
    name: str, value: float | NDArray[np.float64], low: float, high: float = math.inf
) -> None:
    """Refuse a value, or any element of an array, outside ``low`` to ``high`` (both allowed).

    Args:
        name: What the message calls the value: the name of the argument, unit included.
        value: The value, in any unit and shape. NaN passes: it was not measured.
        low: Smallest allowed value, in the unit of ``value``.
        high: Largest allowed value; infinite where nothing bounds it.

    Raises:
        ValueError: If any element is outside.
    """
    if _any((value < low) | (value > high)):
        limits = f"at least {low:g}" if math.isinf(high) else f"within {low:g} to {high:g}"
        raise ValueError(f"{name} must be {limits}")


def clipped(value: float, low: float, high: float) -> float:
    """A value, or the nearer end of the range for which something is known."""
    return min(max(value, low), high)


def require_above_zero(name: str, value: float | NDArray[np.float64]) -> None:
    """Refuse a value, or any element of an array, that is zero or negative; NaN passes."""
    if _any(value <= 0.0):
        raise ValueError(f"{name} must be above 0")


def _any(found: bool | NDArray[np.bool_]) -> bool:
    """Whether it is so anywhere; asking NumPy about one number would take most of the time."""
    return bool(found.any()) if isinstance(found, np.ndarray) else bool(found)
