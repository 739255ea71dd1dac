"""How nitrate went and will go: food brings it, water changes take a part of it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

import numpy as np
from numpy.typing import NDArray

from app.domain.records import Feeding, JobKind
from app.domain.snapshot import TankSnapshot
from app.science.nitrogen import ammonia_n_mg, nitrate_rise_mg_per_l

DAY: Final = timedelta(days=1)
_SOON: Final = timedelta(hours=1)


@dataclass(frozen=True, slots=True)
class Gain:
    """So much nitrate, in mg/L for a pace of 1, came into the water at a moment."""

    at: datetime
    amount: float


@dataclass(frozen=True, slots=True)
class Change:
    """A share of the water, 0 to 1, was changed at a moment."""

    at: datetime
    share: float


@dataclass(frozen=True, slots=True)
class Course:
    """At each moment: what of the start is left, what a pace of 1 brought, what the tap brought.

    A value is ``start * kept + pace * gained + known``, in mg/L as nitrate; shapes (n,).
    """

    kept: NDArray[np.float64]
    gained: NDArray[np.float64]
    known: NDArray[np.float64]


def course(
    start: datetime, moments: Sequence[datetime], events: Iterable[Gain | Change], tap: float
) -> Course:
    """The course from a start to ascending moments; what happened before the start is left out."""
    waiting = sorted((e for e in events if e.at > start), key=lambda event: event.at)
    kept, gained, known = 1.0, 0.0, 0.0
    rows, done = [], 0
    for moment in moments:
        while done < len(waiting) and waiting[done].at <= moment:
            event = waiting[done]
            if isinstance(event, Gain):
                gained += event.amount
            else:
                left = 1.0 - event.share
                kept, gained, known = kept * left, gained * left, known * left + event.share * tap
            done += 1
        rows.append((kept, gained, known))
    columns = np.array(rows).reshape(len(rows), 3)
    return Course(columns[:, 0], columns[:, 1], columns[:, 2])


def changes(snapshot: TankSnapshot, net_l: float) -> tuple[Change, ...]:
    """The water changes that were written, as shares of the net volume."""
    return tuple(
        Change(job.happened_at, min(job.liters_out / net_l, 1.0))
        for job in snapshot.jobs_of(JobKind.WATER_CHANGE)
        if job.liters_out
    )


def gains(meals: Iterable[Feeding], net_l: float, protein_share: float) -> tuple[Gain, ...]:
    """What the nitrogen of each meal becomes as nitrate; meals without grams bring nothing."""
    of_one_gram = rise_of(1.0, net_l, protein_share)
    return tuple(Gain(meal.happened_at, meal.grams * of_one_gram) for meal in meals if meal.grams)


def rise_of(grams: float, net_l: float, protein_share: float) -> float:
    """Nitrate in mg/L that food becomes when nothing takes any."""
    return nitrate_rise_mg_per_l(ammonia_n_mg(grams, protein_share), net_l)


def daily(start: datetime, days: int, amount: float) -> tuple[Gain, ...]:
    """The same gain in the middle of each of so many days."""
    return tuple(Gain(start + DAY * (day + 0.5), amount) for day in range(days))


def next_change(snapshot: TankSnapshot) -> datetime | None:
    """When the plan asks for the next change; an overdue one is done in an hour."""
    plan = snapshot.tank.plan
    if plan.water_change_days <= 0 or plan.water_change_percent <= 0:
        return None
    done = snapshot.jobs_of(JobKind.WATER_CHANGE)
    every = DAY * plan.water_change_days
    if not done:
        return snapshot.as_of + every
    return max(done[-1].happened_at + every, snapshot.as_of + _SOON)


def planned_changes(snapshot: TankSnapshot, days: int) -> tuple[Change, ...]:
    """The changes of the plan within so many days from now."""
    plan, moment = snapshot.tank.plan, next_change(snapshot)
    if moment is None:
        return ()
    share = min(plan.water_change_percent / 100.0, 1.0)
    end, found = snapshot.as_of + DAY * days, []
    while moment <= end:
        found.append(Change(moment, share))
        moment += DAY * plan.water_change_days
    return tuple(found)
