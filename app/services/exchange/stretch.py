"""Which measurements are asked for: one quantity or all, from a day to another."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from app.domain.calendar import day_start
from app.domain.errors import Refused
from app.domain.quantities import Quantity
from app.storage.models.water import Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Measurements of `quantity` (None: all) from one moment until before another."""

    quantity: Quantity | None = None
    start: datetime | None = None
    end: datetime | None = None

    def of(self, query: Any) -> Any:
        """The part of a query of readings."""
        if self.quantity is not None:
            query = query.where(Reading.quantity == self.quantity.value)
        if self.start is not None:
            query = query.where(Reading.at >= self.start)
        if self.end is not None:
            query = query.where(Reading.at < self.end)
        return query


ALL = Stretch()
"""Every measurement."""


def days(
    zone: str, *, first: date | None, last: date | None, quantity: Quantity | None = None
) -> Stretch:
    """The stretch from the beginning of a day to the end of another, on a tank's clock.

    Raises:
        Refused: If the last day comes before the first.
    """
    if first is not None and last is not None and last < first:
        raise Refused("The last day comes before the first.")
    return Stretch(
        quantity=quantity,
        start=None if first is None else day_start(first, zone),
        end=None if last is None else day_start(last + timedelta(days=1), zone),
    )
