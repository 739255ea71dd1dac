"""Everything the rules may look at, as of one moment. Plain records, never database rows."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import TypeVar

from app.domain.calendar import local_day
from app.domain.quantities import Quantity
from app.domain.records import (
    Feeding,
    Job,
    JobKind,
    Kit,
    Observation,
    Reading,
    Site,
    StockEvent,
    StockGroup,
    Tank,
    WaterTest,
)

Item = TypeVar("Item")


@dataclass(frozen=True, slots=True, kw_only=True)
class TankSnapshot:
    """One tank as of one moment. All tuples are ascending in time and hold only what counts.

    Entries reach back at least 60 days, and always hold the latest of each kind (for jobs:
    of each job). Readings hold the last 35 days of each quantity and at least its last eight;
    a logger's temperatures reach back 8 days. `logger_entry_ids` tells which entries are a
    logger's: its temperature is a reading, but no look.
    """

    as_of: datetime
    site: Site
    tank: Tank
    groups: tuple[StockGroup, ...] = ()
    kits: tuple[Kit, ...] = ()
    feedings: tuple[Feeding, ...] = ()
    tests: tuple[WaterTest, ...] = ()
    jobs: tuple[Job, ...] = ()
    stock_events: tuple[StockEvent, ...] = ()
    observations: tuple[Observation, ...] = ()
    readings: tuple[Reading, ...] = ()
    logger_entry_ids: frozenset[int] = frozenset()

    @property
    def today(self) -> date:
        """The tank's local day."""
        return local_day(self.as_of, self.site.zone)

    @property
    def expected_fish(self) -> int:
        """How many animals the groups hold."""
        return sum(g.count for g in self.groups)

    def of(self, quantity: Quantity) -> tuple[Reading, ...]:
        """The readings of one quantity, oldest first."""
        return tuple(r for r in self.readings if r.quantity is quantity)

    def latest(self, quantity: Quantity) -> Reading | None:
        """The last reading of a quantity, or None."""
        return last(self.of(quantity))

    def jobs_of(self, *kinds: JobKind) -> tuple[Job, ...]:
        """The jobs of these kinds, oldest first."""
        return tuple(j for j in self.jobs if j.job in kinds)

    def age_of(self, moment: datetime) -> timedelta:
        """How long ago a moment was."""
        return self.as_of - moment


def last(items: Sequence[Item]) -> Item | None:
    """The last item, or None of an empty sequence."""
    return items[-1] if items else None
