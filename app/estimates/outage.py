"""When the power, the filter or the heater stops: hours until oxygen or warmth reach a line."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Final

from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import decimal, with_unit
from app.estimates.model import NOT_MEASURED, Estimate, Input, Origin, exact, title_of
from app.estimates.oxygen import ENDS, MG_PER_L, at_end, course_of, narrowest
from app.estimates.oxygen_inputs import (
    WhatIf,
    day_of,
    days_since,
    hour_of,
    inputs_of,
    missing_of,
    rotting,
)
from app.knowledge.model import Knowledge
from app.science.oxygen_day import OxygenDay, hours_to_fall

HOURS: Final = "h"
_OF_THE_LAMP: Final = frozenset({"air", "light_on", "light_hours"})
_SHORT_H: Final = 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Situation:
    """What somebody typed of an outage; None: as the record has it. In °C and mg/L."""

    water_c: float | None = None
    room_c: float | None = None
    oxygen: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reaching:
    """Hours until each of several lines is reached, the nearest first, and what they rest on.

    An estimate is infinite where its line is not reached within the hours that are looked at.
    With something `missing` there are no lines.
    """

    lines: tuple[Estimate, ...] = ()
    inputs: tuple[Input, ...] = ()
    missing: tuple[str, ...] = ()
    narrows_most: str = ""


def oxygen_falls(snapshot: TankSnapshot, knowledge: Knowledge, given: Situation) -> Reaching:
    """Hours until oxygen is low after the power or the filter stopped, counted in the dark.

    The cautious run takes no exchange at all, lively fish and thirsty plants, and starts from the
    low end; the hopeful one a still, clean surface. The filter's own bacteria use no more.

    Source:
        `science.oxygen_day.hours_to_fall`; the ends stand in the file of estimates.
    """
    missing = missing_of(snapshot, knowledge)
    if missing:
        return Reaching(missing=missing)
    tried = WhatIf(celsius=given.water_c, air_l_per_min=0.0)
    found = inputs_of(snapshot, knowledge, tried, still_surface(knowledge))
    inputs = (*found, oxygen_now(snapshot, knowledge, given))
    most = knowledge.value("outage.most-hours")

    def hours(of: Sequence[Input], end: str, line: float) -> float:
        values = at_end(of, end)
        day = stopped(day_of(values, snapshot, knowledge), rotting(values, knowledge))
        return hours_until(day, values["oxygen"], line, most_h=most)

    def estimate(line: float) -> Estimate:
        low, best, high = (hours(inputs, end, line) for end in ENDS)
        return reaching(f"oxygen is {with_unit(decimal(line, 0), MG_PER_L)}", low, best, high, most)

    lines = oxygen_lines(knowledge)
    narrows = narrowest(inputs, lambda of, end: min(hours(of, end, lines[0]), most))
    return Reaching(
        lines=tuple(estimate(line) for line in lines),
        inputs=tuple(each for each in inputs if each.name not in _OF_THE_LAMP),
        narrows_most=title_of(narrows, inputs),
    )


def oxygen_lines(knowledge: Knowledge) -> tuple[float, ...]:
    """The lines that oxygen falls through, the highest first, in mg/L."""
    keys = ("oxygen.act", "oxygen.emergency", "outage.oxygen-last")
    return tuple(knowledge.value(key) for key in keys)


def hours_until(day: OxygenDay, start: float, line: float, *, most_h: float) -> float:
    """Hours in the dark from a start to a line, 0 where it is there already.

    Infinite where it does not come so low within `most_h`.
    """
    return 0.0 if start <= line else hours_to_fall(day, start, line, most_h=most_h)


def stopped(day: OxygenDay, rotting_mg_per_h: float) -> OxygenDay:
    """A day without lamp, flow and meals: the filter's bacteria get no more water."""
    return replace(day, made=0.0, bacteria=rotting_mg_per_h, light_hours=0.0, meals=())


def still_surface(knowledge: Knowledge) -> Input:
    """How fast a surface exchanges that nothing moves: from not at all to a still, clean one."""
    oily = knowledge.numbers["surface.oily"]
    return Input(
        name="velocity", title="How much the still surface lets through", low=0.0,
        best=oily.value, high=knowledge.value("surface.still"), unit="m/h", decimals=3,
        origin=Origin.ASSUMED, note=oily.note, source=oily.source,
    )  # fmt: skip


def oxygen_now(snapshot: TankSnapshot, knowledge: Knowledge, given: Situation) -> Input:
    """Oxygen when it stops: as typed, else measured on the same day, else by the day's estimate."""
    title, latest = "Oxygen when it stops", snapshot.latest(Quantity.OXYGEN)
    if given.oxygen is not None:
        return exact("oxygen", title, given.oxygen, MG_PER_L, origin=Origin.TYPED)
    if latest is not None and days_since(latest, snapshot) == 0:
        return Input(
            name="oxygen", title=title, low=latest.least, best=latest.best,
            high=latest.best if latest.most is None else latest.most, unit=MG_PER_L,
            origin=Origin.MEASURED, at=latest.at,
        )  # fmt: skip
    inputs = inputs_of(snapshot, knowledge, WhatIf(celsius=given.water_c))
    hour = hour_of(snapshot.as_of, snapshot.site.zone)
    low, best, high = (
        course_of(day_of(at_end(inputs, end), snapshot, knowledge)).at(hour) for end in ENDS
    )
    return Input(
        name="oxygen", title=title, low=low, best=best, high=high, unit=MG_PER_L,
        origin=Origin.ASSUMED, note="By the estimate of the day, at this hour.",
    )  # fmt: skip


def reaching(what: str, low: float, best: float, high: float, most_h: float) -> Estimate:
    """Hours until a line as an estimate, with its sentence."""
    low, best, high = (each if each < most_h else math.inf for each in (low, best, high))
    return Estimate(
        what=what, unit=HOURS, decimals=0, low=low, best=best, high=high,
        sentence=f"{what}: {hours_words(low, high, most_h)}; {NOT_MEASURED}.",
    )  # fmt: skip


def hours_words(low: float, high: float, most_h: float) -> str:
    """From the least to the most hours in words: "10 to 26 hours", "9 hours or more"."""
    most = decimal(most_h, 0)
    if high <= 0.0:
        return "reached already"
    if math.isinf(low):
        return f"not within {most} hours"
    if math.isinf(high):
        return f"{_named(_hours(low))} or more" if low > 0.0 else "reached already, or hours away"
    first, last = _hours(low), _hours(high)
    if first == last:
        return f"about {_named(last)}"
    return f"{first} to {last} hours"


def _named(hours: str) -> str:
    return f"{hours} {'hour' if hours == '1' else 'hours'}"


def _hours(value: float) -> str:
    """Hours with no more digits than they deserve, the short ones rounded down to a half."""
    if value < _SHORT_H:
        halves = math.floor(value * 2.0) / 2.0
        return decimal(halves, 0 if halves == int(halves) else 1)
    return decimal(math.floor(value), 0)
