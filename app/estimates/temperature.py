"""What the thermometer will show: the last days, smoothed as far as that would have helped before.

It knows nothing of rooms and heaters. How far off it was before, over as many days, is how sure it
is now.
"""

import math
from datetime import datetime
from typing import Final
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from app.domain.calendar import local_day
from app.domain.quantities import Quantity
from app.domain.records import Reading
from app.domain.snapshot import TankSnapshot
from app.domain.wording import degrees
from app.estimates.model import NOT_MEASURED, Estimate, Input, Origin, exact
from app.knowledge.model import Knowledge
from app.science.smoothing import smoothed

A_WEEK: Final = "the temperature on a week of days"
_WHAT: Final = "Temperature at the thermometer"
_WEIGHTS: Final = (1.0, 0.75, 0.5, 0.25)
"""Tried in this order: the same as last time comes first, and stays unless another does better."""
_LONGER: Final = 1.5
"""A step from day to day counts for days ahead up to so many times as long."""

Floats = NDArray[np.float64]


def temperature_at(moment: datetime, snapshot: TankSnapshot, knowledge: Knowledge) -> Estimate:
    """Temperature at a moment to come, from one reading of each of the last days.

    Of each day the reading nearest to that time of day is taken, so that light and room swing as
    they will. Unknown where fewer than the least number of earlier steps are as long.
    """
    days, readings = _a_day_each(moment, snapshot, knowledge)
    ahead = local_day(moment, snapshot.site.zone).toordinal() - (days[-1] if len(days) else 0)
    pairs = _steps(days, max(ahead, 1))
    if len(pairs) < knowledge.value("warmth-ahead.least"):
        return Estimate(
            what=_WHAT, unit="°C", decimals=1, known=False, missing=(A_WEEK,),
            sentence=f"It cannot be estimated: nobody wrote {A_WEEK}.",
        )  # fmt: skip
    values = np.array([reading.best for reading in readings])
    best, off = _best_and_off(values, pairs, knowledge)
    low, high = best - off, best + off
    site = snapshot.site
    return Estimate(
        what=_WHAT, unit="°C", decimals=1, low=low, best=best, high=high,
        inputs=_inputs(readings, len(pairs), off), narrows_most="a temperature every day",
        sentence=f"About {degrees(site, best)}; it may be {degrees(site, low)} to "
        f"{degrees(site, high)}: {NOT_MEASURED}.",
    )  # fmt: skip


def _a_day_each(
    moment: datetime, snapshot: TankSnapshot, knowledge: Knowledge
) -> tuple[list[int], list[Reading]]:
    """Of each of the last days its number and the reading nearest to a time of day."""
    zone, longest = snapshot.site.zone, int(knowledge.value("warmth-ahead.days"))
    wanted = _minutes(moment, snapshot)
    nearest: dict[int, Reading] = {}
    for reading in snapshot.of(Quantity.TEMPERATURE):
        day = local_day(reading.at, zone).toordinal()
        if reading.kit_doubtful or snapshot.today.toordinal() - day >= longest:
            continue
        other = nearest.get(day)
        if other is None or _apart(reading, wanted, snapshot) <= _apart(other, wanted, snapshot):
            nearest[day] = reading
    days = sorted(nearest)
    return days, [nearest[day] for day in days]


def _steps(days: list[int], ahead: int) -> NDArray[np.intp]:
    """Pairs of places in `days` that lie about as many days apart, shape (n, 2)."""
    found = []
    for first, day in enumerate(days):
        later = int(np.searchsorted(days, day + ahead))
        if later < len(days) and days[later] - day <= _LONGER * ahead:
            found.append((first, later))
    return np.array(found, dtype=np.intp).reshape(len(found), 2)


def _best_and_off(
    values: Floats, pairs: NDArray[np.intp], knowledge: Knowledge
) -> tuple[float, float]:
    """The level of the weight that was least off, and how far off it was in so many of ten."""
    tried = []
    for weight in _WEIGHTS:
        levels = smoothed(values, weight)
        errors = np.abs(values[pairs[:, 1]] - levels[pairs[:, 0]])
        tried.append((float(errors.mean()), float(levels[-1]), np.sort(errors)))
    _, level, errors = min(tried, key=lambda each: each[0])
    # one more than were seen, as the next error may be the largest of all
    rank = math.ceil(knowledge.value("ledger.cover") / 100.0 * (len(errors) + 1))
    seen = float(errors[min(rank, len(errors)) - 1])
    return level, max(seen, knowledge.value("heater.reading-off"))


def _inputs(readings: list[Reading], steps: int, off: float) -> tuple[Input, ...]:
    last = readings[-1]
    return (
        Input(
            name="temperature", title="The last temperature", low=last.best, best=last.best,
            high=last.best, unit="°C", origin=Origin.MEASURED, at=last.at,
        ),
        exact("off", "How far it was off before", off, "K", origin=Origin.MEASURED),
        exact("steps", "Earlier steps as long", steps, "", origin=Origin.MEASURED, decimals=0),
    )  # fmt: skip


def _minutes(moment: datetime, snapshot: TankSnapshot) -> int:
    """Minutes since midnight on the tank's clock."""
    at = moment.astimezone(ZoneInfo(snapshot.site.zone))
    return at.hour * 60 + at.minute


def _apart(reading: Reading, wanted: int, snapshot: TankSnapshot) -> int:
    return abs(_minutes(reading.at, snapshot) - wanted)
