"""Everything the rules may look at, as of one moment. Plain records, never database rows."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import TypeVar

from app.domain.calendar import local_day
from app.domain.kit import Equipment, Kit, KitComparison
from app.domain.livestock import Batch, Plant, StockGroup
from app.domain.maturing import StageReached
from app.domain.outlook import OxygenOutlook
from app.domain.quantities import Quantity
from app.domain.records import Feeding, Job, JobKind, Observation, Reading, StockEvent, WaterTest
from app.domain.tank import Site, Tank

Item = TypeVar("Item")


@dataclass(frozen=True, slots=True, kw_only=True)
class TankSnapshot:
    """One tank as of one moment. All tuples are ascending in time and hold only what counts.

    Entries reach back at least 60 days, and always hold the latest of each kind (for jobs:
    of each job). Readings hold the last 35 days of each quantity and at least its last eight;
    a logger's temperatures reach back 8 days. `logger_entry_ids` tells which entries are a
    logger's: its temperature is a reading, but no look. `stages` are those that a maturing filter
    reached, with their days; `oxygen` is None where nothing was estimated.
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
    batches: tuple[Batch, ...] = ()
    plants: tuple[Plant, ...] = ()
    equipment: tuple[Equipment, ...] = ()
    comparisons: tuple[KitComparison, ...] = ()
    stages: tuple[StageReached, ...] = ()
    oxygen: OxygenOutlook | None = None

    @property
    def today(self) -> date:
        """The tank's local day."""
        return local_day(self.as_of, self.site.zone)

    @property
    def expected_fish(self) -> int:
        """How many animals the groups hold."""
        return sum(g.count for g in self.groups)

    @property
    def expected_by_pupils(self) -> int:
        """How many animals pupils expect: with the losses that they were not told of yet."""
        return sum(g.count + g.hidden_losses for g in self.groups)

    def for_pupils(self) -> "TankSnapshot":
        """The tank as pupils know it: without the losses that they were not told of yet."""
        hidden = tuple(e for e in self.stock_events if e.hidden)
        if not hidden:
            return self
        return replace(
            self,
            groups=tuple(
                replace(g, count=g.count + g.hidden_losses, hidden_losses=0) for g in self.groups
            ),
            stock_events=tuple(e for e in self.stock_events if not e.hidden),
            observations=tuple(_as_told(o, hidden) for o in self.observations),
        )

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


def _as_told(look: Observation, hidden: Sequence[StockEvent]) -> Observation:
    """A look with the number that pupils expected then."""
    if look.expected is None:
        return look
    untold = sum(e.count for e in hidden if e.happened_at <= look.happened_at)
    return replace(look, expected=look.expected + untold)
