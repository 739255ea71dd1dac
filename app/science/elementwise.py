"""The few functions that ``math`` and NumPy name alike: one number quickly, arrays as arrays.

NumPy takes some microseconds for one number, ``math`` a fraction of one; and the pages mostly ask
for one number. NaN in, NaN out.
"""

from __future__ import annotations

import math

import numpy as np

from app.science.bounds import FloatOrArray


def exp(value: FloatOrArray) -> FloatOrArray:
    """The exponential function, any shape."""
    return np.exp(value) if isinstance(value, np.ndarray) else math.exp(value)


def log10(value: FloatOrArray) -> FloatOrArray:
    """The logarithm to base 10 of values above 0, any shape."""
    return np.log10(value) if isinstance(value, np.ndarray) else math.log10(value)


def at_least(value: FloatOrArray, low: float) -> FloatOrArray:
    """The value, or ``low`` where the value is less; any shape."""
    if isinstance(value, np.ndarray):
        return np.maximum(value, low)
    return max(value, low)  # NaN stays: no comparison with it is true


def smaller(first: FloatOrArray, second: FloatOrArray) -> FloatOrArray:
    """The smaller of two values, element by element."""
    if isinstance(first, np.ndarray):
        return np.minimum(first, second)
    return math.nan if math.isnan(first) or math.isnan(second) else min(first, second)
