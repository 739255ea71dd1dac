"""Everything the rules may look at, as of one moment. Plain records, never database rows."""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from functools import cached_property
from operator import attrgetter
from typing import Final, TypeVar

from app.domain.calendar import local_day
from app.domain.kit import Equipment, Kit, KitComparison
from app.domain.livestock import Batch, Plant, StockGroup
from app.domain.maturing import StageReached
from app.domain.outlook import OxygenOutlook
from app.domain.quantities import Quantity
from app.domain.records import (
    Feeding,
    Job,
    JobKind,
    Observation,
    Reading,
    Sign,
    StockEvent,
    WaterTest,
)
from app.domain.tank import Site, Tank

Item = TypeVar("Item")
Key = TypeVar("Key")
FILTER_STOPS: Final = frozenset({Sign.FILTER_OFF, Sign.POWER_CUT})
"""Signs with which no water goes through the filter."""


# no slots: what many rules ask for is sorted out once and kept
@dataclass(frozen=True, kw_only=True)
class TankSnapshot:
    """One tank as of one moment. All tuples are ascending in time and hold only what counts.

    Entries reach back at least 60 days, and always hold the latest of each kind (for jobs:
    of each job). Readings hold the last 35 days of each quantity and at least its last eight;
    a logger's temperatures reach back 8 days. `logger_entry_ids` tells which entries are a
    logger's: its temperature is a reading, but no look. `stages` are those that a maturing filter
    reached, with their days; `oxygen` is None where nothing was estimated. `widened` tells how many
    times as wide the ranges of estimates are shown, because they had covered too little. `revision`
    counts the changes of the record up to this reading of it.
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
    widened: tuple[tuple[Quantity, float], ...] = ()
    revision: int = field(default=0, compare=False)

    @cached_property
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
        """The tank as pupils know it: without the losses that they were not told of yet.

        That somebody saw a dead fish is told by its loss, when an adult says so, and by no look.
        """
        hidden = tuple(e for e in self.stock_events if e.hidden)
        if not hidden and self.last_with(Sign.DEAD_FISH) is None:
            return self
        return replace(
            self,
            groups=tuple(
                replace(g, count=g.count + g.hidden_losses, hidden_losses=0) for g in self.groups
            ),
            stock_events=tuple(e for e in self.stock_events if not e.hidden),
            observations=tuple(_as_told(o, hidden) for o in self.observations),
        )

    def without_hands(self) -> "TankSnapshot":
        """The tank with meals that do not tell who fed, for whoever walks by."""
        nobody = tuple(replace(f, author="", done_by="") for f in self.feedings)
        return replace(self, feedings=nobody)

    def of(self, quantity: Quantity) -> tuple[Reading, ...]:
        """The readings of one quantity, oldest first."""
        return self._by_quantity.get(quantity, ())

    @cached_property
    def _by_quantity(self) -> Mapping[Quantity, tuple[Reading, ...]]:
        return _sorted_by(attrgetter("quantity"), self.readings)

    def widening(self, quantity: Quantity) -> float:
        """How many times as wide the ranges of a quantity are shown; 1 as they are worked out."""
        return dict(self.widened).get(quantity, 1.0)

    def between(self, quantity: Quantity, first: datetime, end: datetime) -> tuple[Reading, ...]:
        """The readings of one quantity from `first` to `end`, both included, oldest first."""
        found = self.of(quantity)
        at = attrgetter("at")
        return found[bisect_left(found, first, key=at) : bisect_right(found, end, key=at)]

    def latest(self, quantity: Quantity) -> Reading | None:
        """The last reading of a quantity, or None."""
        return last(self.of(quantity))

    def jobs_of(self, *kinds: JobKind) -> tuple[Job, ...]:
        """The jobs of these kinds, oldest first."""
        return tuple(j for j in self.jobs if j.job in kinds)

    def meals_on(self, day: date) -> tuple[Feeding, ...]:
        """The meals of a local day, oldest first."""
        return self._meals_by_day.get(day, ())

    @cached_property
    def _meals_by_day(self) -> Mapping[date, tuple[Feeding, ...]]:
        return _sorted_by(attrgetter("local_day"), self.feedings)

    @cached_property
    def last_counted(self) -> Observation | None:
        """The newest look that counted the animals, or None."""
        return last_where(self.observations, lambda o: o.seen is not None)

    def last_with(self, sign: Sign) -> Observation | None:
        """The newest look that saw a sign, or None."""
        return self._last_signs.get(sign)

    @cached_property
    def _last_signs(self) -> Mapping[Sign, Observation]:
        return {sign: look for look in self.observations for sign in look.signs}

    @cached_property
    def looks_at_a_stop(self) -> tuple[Observation, ...]:
        """The newest looks in a row that found the filter, the power or the plug off."""
        run: list[Observation] = []
        for look in reversed(self.observations):
            if not FILTER_STOPS & set(look.signs) and look.plug_on is not False:
                break
            run.append(look)
        return tuple(reversed(run))

    def age_of(self, moment: datetime) -> timedelta:
        """How long ago a moment was."""
        return self.as_of - moment


def last(items: Sequence[Item]) -> Item | None:
    """The last item, or None of an empty sequence."""
    return items[-1] if items else None


def last_where(items: Sequence[Item], holds: Callable[[Item], bool]) -> Item | None:
    """The last item for which something holds, or None."""
    return next((item for item in reversed(items) if holds(item)), None)


def _sorted_by(key: Callable[[Item], Key], items: Iterable[Item]) -> Mapping[Key, tuple[Item, ...]]:
    """The items of each key, in their order."""
    found: dict[Key, list[Item]] = defaultdict(list)
    for item in items:
        found[key(item)].append(item)
    return {each: tuple(those) for each, those in found.items()}


def _as_told(look: Observation, hidden: Sequence[StockEvent]) -> Observation:
    """A look without a dead fish, and with the number that pupils expected then."""
    if Sign.DEAD_FISH in look.signs:
        look = replace(look, signs=tuple(s for s in look.signs if s is not Sign.DEAD_FISH))
    if look.expected is None:
        return look
    untold = sum(e.count for e in hidden if e.happened_at <= look.happened_at)
    return replace(look, expected=look.expected + untold)
