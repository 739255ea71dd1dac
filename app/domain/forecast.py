"""What was expected of a quantity before it was measured, as it is kept."""

from dataclasses import dataclass
from datetime import datetime

from app.domain.quantities import Quantity


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """A range that was expected at `about_at`; low, best and high in the kept unit.

    It was shown `factor` times as wide, which is at least 1: see `ends`. `last` is the last
    reading of that time: what "the same as last time" would have said. `model` and `version` tell
    how it was worked out. With `stands` False the entry after which it was made was taken back or
    corrected since.
    """

    id: int
    quantity: Quantity
    made_at: datetime
    about_at: datetime
    low: float
    best: float
    high: float
    last: float
    factor: float = 1.0
    model: str = ""
    version: str = ""
    stands: bool = True

    @property
    def ends(self) -> tuple[float, float]:
        """The low and the high end as they were shown."""
        return stretched(self.low, self.best, self.high, self.factor)


def stretched(low: float, best: float, high: float, factor: float) -> tuple[float, float]:
    """The ends of a range that is made `factor` times as wide around its best, never below 0.

    No quantity that is looked ahead can be below 0 in its kept unit. A factor of 1 leaves it.
    """
    if factor <= 1.0:
        return low, high
    return max(best - (best - low) * factor, min(low, 0.0)), best + (high - best) * factor
