"""What nitrate will do: the days ahead, when it crosses a line, what the next change must be."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final

import numpy as np

from app.domain.calendar import local_day
from app.domain.forecast import stretched
from app.domain.quantities import Quantity
from app.domain.series import Ahead
from app.domain.snapshot import TankSnapshot
from app.domain.tank import CarePlan
from app.domain.wording import decimal, full_day, listed
from app.estimates import nitrate_course as courses
from app.estimates.missing import GRAMS_OF_A_SCOOP, PROTEIN, TAP_NITRATE
from app.estimates.model import NOT_MEASURED, Estimate, Triple
from app.estimates.nitrate import Pace, inputs_of, missing_of, pace_of, past_events
from app.estimates.nitrate_course import DAY
from app.knowledge.model import Knowledge
from app.science.dilution import CannotBeReached, SettlePoint, fraction_to_hold, settles_at
from app.science.interval_fit import quantiles

_WHAT: Final = "Days until nitrate reaches the line"
_JUST: Final = timedelta(minutes=1)
_STEP_DAYS: Final = 7
_BEFORE, _AFTER = "before the planned change", "after the planned change"


@dataclass(frozen=True, slots=True, kw_only=True)
class NitrateForecast:
    """Nitrate of the coming weeks.

    `crossing` counts days until the line `target` without any change; `inf` ends are never.
    `fan` goes week by week, and around each change, with the changes that are planned. `share` is
    the part of the water that every planned change needs to hold the line, None where no change
    can. `settles` are the points before and after each change at the present habit (low, best,
    high), empty without one.
    `planned` is the moment of the next change of the plan. `pace` is None where nothing is known.
    """

    crossing: Estimate
    target: float
    now: Ahead | None = None
    fan: tuple[Ahead, ...] = ()
    first: datetime | None = None
    last: datetime | None = None
    share: float | None = None
    settles: tuple[SettlePoint, ...] = ()
    planned: datetime | None = None
    rise: Triple = (0.0, 0.0, 0.0)
    pace: Pace | None = None

    @property
    def taken_up(self) -> Triple | None:
        """Share that plants and others take, where tests and weighed meals tell it."""
        return None if self.pace is None else self.pace.taken_up()


def line_of(snapshot: TankSnapshot, knowledge: Knowledge) -> float:
    """The line that nitrate should stay below, mg/L: the tank’s own, else where Watch begins."""
    own = snapshot.tank.own_range(Quantity.NITRATE)
    tap = snapshot.site.tap_value(Quantity.NITRATE) or 0.0
    if own is not None and own.high is not None:
        return own.high
    usual = knowledge.value("nitrate.watch")
    if tap <= knowledge.value("nitrate.tap-high"):
        return usual
    return max(usual, tap + knowledge.value("nitrate.tap-margin"))


def forecast(snapshot: TankSnapshot, knowledge: Knowledge) -> NitrateForecast:
    """Look nitrate ahead from this tank's own tests, meals and changes.

    Low and high are the ends between which nine true values in ten lie, if food and habits stay.

    Source:
        `science.interval_fit` for the pace, `science.nitrogen` for food, `science.dilution` for
        changes.
    """
    target = line_of(snapshot, knowledge)
    pace = pace_of(snapshot, knowledge)
    if pace is None:
        return NitrateForecast(crossing=_unknown(missing_of(snapshot)), target=target)
    fan = _fan(pace, int(knowledge.value("forecast.days")), snapshot)
    days, rise = _days_to(target, pace, snapshot), pace.rise()
    longest = knowledge.value("forecast.longest-days")
    plan = snapshot.tank.plan
    return NitrateForecast(
        crossing=Estimate(
            what=_WHAT, unit="days", decimals=0, low=days[0], best=days[1], high=days[2],
            sentence=_sentence(days, target, longest, snapshot) + _widened(snapshot),
            inputs=inputs_of(snapshot, knowledge, pace), missing=_wished(snapshot),
            narrows_most=_narrows(pace, snapshot),
        ),
        target=target,
        now=fan[0],
        fan=fan,
        first=_moment(days[0], longest, snapshot),
        last=_moment(days[2], longest, snapshot),
        share=_share(target, rise[1], pace.tests.tap, plan.water_change_days),
        settles=_settles(rise, pace.tests.tap, plan),
        planned=courses.next_change(snapshot),
        rise=rise,
        pace=pace,
    )  # fmt: skip


def expected(
    moments: Sequence[datetime], pace: Pace, snapshot: TankSnapshot, *, planned: bool = True
) -> tuple[Ahead, ...]:
    """Nitrate at ascending moments, past or to come, by the meals and changes that were written.

    Meals go on as they were. `planned`: the changes of the plan are done. The ranges are as wide
    as past misses ask for.
    """
    days = max(math.ceil((moments[-1] - snapshot.as_of) / DAY), 0)
    events = [
        *past_events(pace.tests, snapshot),
        *courses.daily(snapshot.as_of, days, pace.per_day),
        *(courses.planned_changes(snapshot, days) if planned else ()),
    ]
    course = courses.course(pace.since, moments, events, pace.tests.tap)
    ends = pace.weighed.values(course.kept, course.gained, course.known, *pace.ends)
    factor = snapshot.widening(Quantity.NITRATE)
    return tuple(
        _ahead(moment, *(float(end) for end in row), factor=factor)
        for moment, row in zip(moments, np.maximum(ends, 0.0), strict=True)
    )


def _ahead(moment: datetime, low: float, best: float, high: float, *, factor: float) -> Ahead:
    low, high = stretched(low, best, high, factor)
    return Ahead(moment, low, best, high)


def expected_at(
    moment: datetime, pace: Pace, snapshot: TankSnapshot, *, planned: bool = True
) -> Ahead:
    """Nitrate at one moment, as `expected`."""
    return expected((moment,), pace, snapshot, planned=planned)[0]


def _fan(pace: Pace, days: int, snapshot: TankSnapshot) -> tuple[Ahead, ...]:
    """From now on week by week, and right before and after each change of the plan."""
    now, turns = snapshot.as_of, [turn.at for turn in courses.planned_changes(snapshot, days)]
    steps = [now + DAY * day for day in range(_STEP_DAYS, days, _STEP_DAYS)]
    notes = {at: "" for at in steps if all(abs(at - turn) > DAY for turn in turns)}
    for turn in turns:
        notes |= {turn - _JUST: _BEFORE, turn: _AFTER}
    notes |= {now: "now"} | ({now + DAY * days: ""} if now + DAY * days not in notes else {})
    course = expected(sorted(notes), pace, snapshot)
    return tuple(replace(each, note=notes[each.at]) for each in course)


def _days_to(target: float, pace: Pace, snapshot: TankSnapshot) -> Triple:
    """Days from now until the line without any change: soonest, likeliest, latest."""
    course = courses.course(
        pace.since, [snapshot.as_of], past_events(pace.tests, snapshot), pace.tests.tap
    )
    weighed = pace.weighed
    values = weighed.starts * course.kept[0] + weighed.paces * course.gained[0] + course.known[0]
    lacking, rises = np.maximum(target - values, 0.0), weighed.paces * pace.per_day
    days = np.where(lacking > 0.0, math.inf, 0.0)
    np.divide(lacking, rises, out=days, where=rises > 0.0)
    low, best, high = quantiles(days, weighed.weights, pace.ends)
    if not math.isinf(best):
        low, high = stretched(low, best, high, snapshot.widening(Quantity.NITRATE))
    return low, best, high


def _share(target: float, rise: float, tap: float, days: int) -> float | None:
    """What part of the water each planned change must be, at the likeliest pace."""
    if days <= 0:
        return None
    try:
        return fraction_to_hold(target, tap, max(rise, 0.0) * days)
    except CannotBeReached:
        return None


def _settles(rises: Triple, tap: float, plan: CarePlan) -> tuple[SettlePoint, ...]:
    share = plan.water_change_percent / 100.0
    if plan.water_change_days <= 0 or not 0 < share <= 1:
        return ()
    return tuple(settles_at(tap, rise * plan.water_change_days, share) for rise in rises)


def _moment(days: float, longest: float, snapshot: TankSnapshot) -> datetime | None:
    return snapshot.as_of + timedelta(days=days) if days <= longest else None


def _wished(snapshot: TankSnapshot) -> tuple[str, ...]:
    """What would help and is not written."""
    wished = {
        GRAMS_OF_A_SCOOP: snapshot.tank.scoop_grams is not None,
        PROTEIN: snapshot.tank.food_protein_percent is not None,
        TAP_NITRATE: snapshot.site.tap_value(Quantity.NITRATE) is not None,
    }
    return tuple(what for what, known in wished.items() if not known)


def _narrows(pace: Pace, snapshot: TankSnapshot) -> str:
    """What would help most: what is missing first, then one more test."""
    if not pace.from_tests:
        return "a nitrate test a week from now"
    wished = _wished(snapshot)
    return wished[0] if wished else "one more nitrate test"


def _unknown(missing: tuple[str, ...]) -> Estimate:
    lacks = listed(missing) if missing else "the grams of the meals, or three tests"
    return Estimate(
        what=_WHAT, unit="days", decimals=0, known=False, missing=missing or (lacks,),
        sentence=f"It cannot be estimated: nobody wrote {lacks}.",
    )  # fmt: skip


def _widened(snapshot: TankSnapshot) -> str:
    """That past misses made the range wider, where they did."""
    factor = snapshot.widening(Quantity.NITRATE)
    if factor <= 1.0:
        return ""
    times = decimal(factor, 1)
    return f" Earlier forecasts missed too often: the range is shown {times} times as wide."


def _sentence(
    days: tuple[float, float, float], target: float, longest: float, snapshot: TankSnapshot
) -> str:
    line = f"{decimal(target, 0)} mg/L"
    if days[1] <= 0:
        return f"Nitrate is at {line} already, by {NOT_MEASURED}."
    if days[0] > longest:
        return f"Nitrate does not reach {line} at this pace: {NOT_MEASURED}."
    first = _day(days[0], snapshot)
    if days[2] > longest:
        return (
            f"Without a change nitrate reaches {line} in {decimal(days[0], 0)} days at the "
            f"soonest ({first}), or not at all: {NOT_MEASURED}."
        )
    return (
        f"Without a change nitrate reaches {line} in {decimal(days[0], 0)} to "
        f"{decimal(days[2], 0)} days ({first} to {_day(days[2], snapshot)}): {NOT_MEASURED}."
    )


def _day(days: float, snapshot: TankSnapshot) -> str:
    return full_day(local_day(snapshot.as_of + timedelta(days=days), snapshot.site.zone))
