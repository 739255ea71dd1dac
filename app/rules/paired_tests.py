"""Ammonia and nitrite of one day as one test: what the filter made of the waste."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Final

from app.domain.calendar import local_day
from app.domain.kit import Kit
from app.domain.quantities import FACTS, Quantity
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.knowledge.model import Knowledge

_TYPED_ZERO: Final = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class PairedTest:
    """The highest ammonia and the highest nitrite reading of one local day, the later of equals."""

    on: date
    ammonia: Reading
    nitrite: Reading

    @property
    def at(self) -> datetime:
        """When the later one of both was read."""
        return max(self.ammonia.at, self.nitrite.at)


def paired_tests(snapshot: TankSnapshot) -> tuple[PairedTest, ...]:
    """Days on which both were tested with kits in date, oldest first."""
    ammonia = _by_day(snapshot, Quantity.AMMONIA)
    nitrite = _by_day(snapshot, Quantity.NITRITE)
    return tuple(
        PairedTest(on=day, ammonia=ammonia[day], nitrite=nitrite[day])
        for day in sorted(ammonia.keys() & nitrite.keys())
    )


def is_clean(test: PairedTest, knowledge: Knowledge) -> bool:
    """Whether both stay below the lines at which a grown filter is watched."""
    return test.ammonia.best < knowledge.value(
        "ammonia.total-watch"
    ) and test.nitrite.best < knowledge.value("nitrite.watch")


def clean_run(snapshot: TankSnapshot, since: datetime, knowledge: Knowledge) -> int:
    """How many of the newest tests after a moment were clean, one after the other."""
    run = 0
    for test in reversed(paired_tests(snapshot)):
        if min(test.ammonia.at, test.nitrite.at) <= since or not is_clean(test, knowledge):
            break
        run += 1
    return run


def at_lowest(reading: Reading, snapshot: TankSnapshot, knowledge: Knowledge) -> bool:
    """Whether a reading is the lowest that its kit can show.

    0, a tube lighter than the first color, or the first color of its card; a meter: below the
    line at which a grown filter is watched.
    """
    if reading.lighter_than_first or reading.best <= _TYPED_ZERO:
        return True
    kit = next((k for k in snapshot.kits if k.id == reading.kit_id), None)
    if kit is not None and kit.steps:
        return reading.best <= _first_step(kit) + _TYPED_ZERO
    if reading.low is not None or reading.high is not None:
        return False
    key = "ammonia.total-watch" if reading.quantity is Quantity.AMMONIA else "nitrite.watch"
    return reading.best < knowledge.value(key)


def _first_step(kit: Kit) -> float:
    try:
        unit = FACTS[kit.quantity].unit_named(kit.unit, kit.basis)
    except KeyError:  # a kit in a unit that nobody types: its numbers say nothing here
        return 0.0
    return unit.to_kept(kit.steps[0])


def _by_day(snapshot: TankSnapshot, quantity: Quantity) -> dict[date, Reading]:
    zone = snapshot.site.zone
    found: dict[date, Reading] = {}
    for reading in snapshot.of(quantity):
        day = local_day(reading.at, zone)
        known = found.get(day)
        if not reading.kit_doubtful and (known is None or reading.best >= known.best):
            found[day] = reading
    return found
