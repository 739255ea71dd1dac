"""Simulated tanks with a known truth, seen only through color cards: for the skill of estimates.

What is simulated is invented and is meant to be no better than life: a scoop that varies, a keeper
who reads a tube a little off, water that is changed by the bucket.
"""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta

import numpy as np

from app.domain.quantities import Quantity
from app.domain.records import Feeding, Job, JobKind, Reading
from app.domain.snapshot import TankSnapshot
from app.domain.tank import CarePlan
from app.science.nitrogen import ammonia_n_mg, nitrate_rise_mg_per_l
from tests.situations import HOME, at, fed, job, reading, snapshot, tank

CARD = (0.0, 5.0, 10.0, 20.0, 40.0, 80.0)
START = at("2027-01-04 08:00")
DAY = timedelta(days=1)
NET_L = 85.0
TAP = 5.0
PROTEIN = 0.45


@dataclass
class Truth:
    """A tank as it really is: what nobody in the simulation knows."""

    share_kept: float
    grams: float
    every_days: int
    share_changed: float
    meter: bool = False
    extra_from: int | None = None
    """Day from which twice as much food goes in as is written."""


@dataclass
class Life:
    """What happened: the truth at every noon, and what was written."""

    nitrate: dict[datetime, float]
    meals: list[Feeding]
    changes: list[Job]
    tests: list[Reading]


def random_truth(random: np.random.Generator) -> Truth:
    """A tank whose plants take up to two thirds, and whose filter and leaves vary."""
    taken, made = random.uniform(0.0, 0.65), random.uniform(0.85, 1.2)
    return Truth(
        share_kept=made * (1.0 - taken),
        grams=float(random.uniform(0.15, 0.5)),
        every_days=int(random.choice([7, 10, 14])),
        share_changed=float(random.uniform(0.15, 0.35)),
    )


def live(truth: Truth, days: int, random: np.random.Generator) -> Life:
    """Live a tank day by day: fed at 8:00, tested each seventh day at 12:00, changed at 17:00."""
    value = float(random.uniform(5.0, 25.0))
    scoop_off = random.normal(1.0, 0.08)
    found = Life({}, [], [], [])
    for day in range(days):
        morning = START + DAY * day
        really = truth.grams * scoop_off * max(random.normal(1.0, 0.2), 0.0)
        if truth.extra_from is not None and day >= truth.extra_from:
            really *= 2.0
        found.meals.append(fed(morning, grams=truth.grams))
        gained = nitrate_rise_mg_per_l(ammonia_n_mg(really, PROTEIN), NET_L)
        value += gained * truth.share_kept
        noon = morning + timedelta(hours=4)
        found.nitrate[noon] = value
        if day % 7 == 0:
            found.tests.append(_tested(value, noon, random, meter=truth.meter))
        if day % truth.every_days == truth.every_days - 1:
            share = min(truth.share_changed * random.normal(1.0, 0.05), 0.9)
            value = value * (1.0 - share) + TAP * share
            liters = NET_L * truth.share_changed
            evening = morning + timedelta(hours=9)
            found.changes.append(
                job(JobKind.WATER_CHANGE, evening, liters_out=liters, liters_in=liters)
            )
    return found


def record_at(life: Life, truth: Truth, moment: datetime) -> TankSnapshot:
    """What stands written at a moment."""
    plan = CarePlan(
        water_change_days=truth.every_days, water_change_percent=100.0 * truth.share_changed
    )
    entries = [e for e in (*life.meals, *life.changes) if e.happened_at <= moment]
    tests = [r for r in life.tests if r.at <= moment]
    recent = [e for e in entries if moment - e.happened_at <= timedelta(days=60)]
    found = snapshot(
        "2027-01-04 08:00",
        *recent,
        *tests[-8:],
        site=replace(HOME, tap=((Quantity.NITRATE, TAP),)),
        tank=tank(plan=plan, food_protein_percent=100.0 * PROTEIN, scoop_grams=truth.grams),
    )
    return replace(found, as_of=moment)


def _tested(value: float, moment: datetime, random: np.random.Generator, *, meter: bool) -> Reading:
    """A meter within 10 %, or the color that looks nearest, with its neighbors as ends."""
    if meter:
        return reading(Quantity.NITRATE, value * random.uniform(0.9, 1.1), moment)
    seen = value * random.normal(1.0, 0.1)
    step = int(np.argmin([abs(seen - color) for color in CARD]))
    low = CARD[max(step - 1, 0)]
    high = CARD[step + 1] if step + 1 < len(CARD) else None
    return reading(Quantity.NITRATE, CARD[step], moment, low=low, high=high)
