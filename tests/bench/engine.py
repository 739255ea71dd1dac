"""How long one evaluation of a tank takes, and how it grows with the entries in the window.

Run ``python -m tests.bench.engine``. A prepared snapshot holds one look, one meal, one temperature
a day and a full water test a week; more entries a day make the window fuller, more years behind it
make nothing, as a snapshot reaches back only so far. The last line is a tank whose logger reads the
temperature every 15 minutes. The wanted median is below 5 ms of processor
time, so that a busy machine tells the same. Nothing is asserted.
"""

import statistics
import time
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

from app.domain.livestock import StockGroup
from app.domain.outlook import OxygenOutlook
from app.domain.quantities import Quantity
from app.domain.records import JobKind
from app.domain.snapshot import TankSnapshot
from app.knowledge.load import load
from app.rules.engine import evaluate
from tests.situations import Thing, at, fed, job, look, metered, snapshot, tank, warm

NOW = "2027-02-12 12:00"
DAYS = 60
READINGS = timedelta(days=35)
LOGGER_READINGS = timedelta(days=8)
"""How far back a snapshot holds a logger's temperatures."""
LOGGER_STEP = timedelta(minutes=15)
ROUNDS = 41
WANTED_MS = 5.0
GROUPS = (
    StockGroup(id=1, name="Shoal", count=10, species="Paracheirodon axelrodi"),
    StockGroup(id=2, name="Bottom", count=6, band="bottom", species="Hoplisoma paleatum"),
)


def written(times_a_day: int) -> Iterator[Thing]:
    """A calm record of the window with so many looks, meals and temperatures a day."""
    for back in range(DAYS):
        for turn in range(times_a_day):
            moment = at(NOW) - timedelta(days=back, minutes=600 * turn / times_a_day)
            yield look(moment, 16, expected=16, breathing_calm=True, algae=1)
            yield fed(moment, grams=0.1)
            if back < READINGS.days:
                yield warm(25.0, moment)
        if back % 7 == 0:
            then = at(NOW) - timedelta(days=back)
            yield from metered(
                then, ammonia=0.0, nitrite=0.0, nitrate=20.0, ph=7.2, kh=5.0, gh=8.0, oxygen=7.0
            )
            yield job(JobKind.WATER_CHANGE, then, liters_out=21.0, liters_in=21.0)
            yield job(JobKind.FILTER_RINSE, then)


def prepared(times_a_day: int) -> TankSnapshot:
    """A snapshot with everything the rules may take."""
    kept = tank(set_point_c=25.0, food_protein_percent=45.0, light_hours=8.0)
    found = snapshot(NOW, *written(times_a_day), tank=kept, groups=GROUPS)
    site = replace(found.site, tap=((Quantity.NITRATE, 5.0),))
    return replace(found, site=site, oxygen=OxygenOutlook(low=5.5, best=6.5, high=7.5))


def logged() -> TankSnapshot:
    """The calm record with a logger's temperature every 15 minutes."""
    calm = prepared(1)
    steps = LOGGER_READINGS // LOGGER_STEP
    warmth = [warm(25.0 + n % 7 / 20, at(NOW) - n * LOGGER_STEP) for n in range(steps)]
    others = [r for r in calm.readings if r.quantity is not Quantity.TEMPERATURE]
    return replace(calm, readings=tuple(sorted([*warmth, *others], key=lambda r: r.at)))


def median_ms(situation: TankSnapshot) -> float:
    """Median time of one evaluation in milliseconds, each on a snapshot as it is loaded."""
    knowledge = load()
    taken = []
    for _ in range(ROUNDS):
        loaded = replace(situation)
        start = time.thread_time()
        evaluate(loaded, knowledge)
        taken.append(time.thread_time() - start)
    return statistics.median(taken) * 1e3


def size(situation: TankSnapshot) -> int:
    """How many entries and readings a snapshot holds."""
    entries = len(situation.observations) + len(situation.feedings) + len(situation.jobs)
    return entries + len(situation.readings)


def main() -> None:
    """Print one line for each fullness of the window."""
    print(f"median of {ROUNDS} evaluations; wanted below {WANTED_MS:.0f} ms")  # noqa: T201
    base: tuple[int, float] | None = None
    for times in (1, 2, 4, 8, 16):
        situation = prepared(times)
        entries = size(situation)
        taken = median_ms(situation)
        base = base or (entries, taken)
        print(  # noqa: T201
            f"{times:3d} a day, {entries:5d} entries and readings: {taken:7.2f} ms"
            f"   entries × {entries / base[0]:5.2f}   time × {taken / base[1]:5.2f}"
        )
    situation = logged()
    print(f"with a logger, {size(situation):5d}: {median_ms(situation):18.2f} ms")  # noqa: T201


if __name__ == "__main__":
    main()
