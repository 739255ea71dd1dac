"""One comparison of the project with something outside it, and how far apart the two are."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt

ROUNDING = 1e-9
"""Below this a difference is only the last digits of the machine."""

Pair = tuple[npt.ArrayLike, npt.ArrayLike]


@dataclass(frozen=True, slots=True)
class Check:
    """What is compared, with what, over which range, and the largest difference allowed.

    `compare` gives the project's numbers and the outside ones, in one shape; NaN in the outside
    ones marks a cell that is left out. `unit` "%" asks for relative differences.
    """

    what: str
    against: str
    range: str
    unit: str
    allowed: float
    source: str
    compare: Callable[[], Pair]

    def __str__(self) -> str:
        return f"{self.what} / {self.against}"


@cache
def difference(check: Check) -> float:
    """Largest difference over the whole range, in the unit of the check."""
    ours, theirs = (np.asarray(side, dtype=np.float64) for side in check.compare())
    assert ours.shape == theirs.shape, check
    compared = ~np.isnan(theirs)
    assert compared.any(), check
    apart = np.abs(ours[compared] - theirs[compared])
    assert not np.isnan(apart).any(), check
    if check.unit == "%":
        apart = 100.0 * apart / np.abs(theirs[compared])
    found = float(apart.max())
    return found if found > ROUNDING else 0.0


def says(check: Check) -> str:
    """The finding in a line, with its source, for the message of a test."""
    return (
        f"{check.what} against {check.against} over {check.range}: largest difference "
        f"{difference(check):.2g} {check.unit}, allowed {check.allowed:g} ({check.source})"
    )


def two_digits(number: float) -> float:
    """A number to two significant digits, as tables print and the checks file keeps it."""
    return float(f"{number:.2g}")
