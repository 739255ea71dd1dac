"""The wall chart: a week beside the tank, filled in by hand and typed in later."""

import math
from dataclasses import dataclass
from datetime import date
from typing import Final

from sqlalchemy.orm import Session

from app.domain.entry_words import scoop_words
from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import range_text, short
from app.knowledge.model import Knowledge
from app.rules.living import living
from app.rules.ranges import RangeShown, range_shown
from app.services.papers.week import WeekRow, week

# as many dots as a small sheet has room for, in steps of the household's own thermometer
_MOST_DOTS: Final = 15
_STEPS_C: Final = (0.5, 1.0, 2.0)
_STEPS_F: Final = (1.0, 2.0, 5.0)
# so far beyond our range a temperature can still be marked
_BEYOND_C: Final = 2.0
_BEYOND_F: Final = 4.0


@dataclass(frozen=True, slots=True)
class Dot:
    """A temperature to mark by hand; every second one carries its number."""

    label: str
    inside: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WallChart:
    """The chart of one week; `dots` are in `unit`, `warmth` is our range in words or ""."""

    first: date
    last: date
    rows: tuple[WeekRow, ...]
    dots: tuple[Dot, ...]
    unit: str
    warmth: str
    portion: str
    animals: int
    has_duty: bool


def wall_chart(
    session: Session, snapshot: TankSnapshot, knowledge: Knowledge, first: date
) -> WallChart:
    """The week from `first` on, as pupils know the tank."""
    told = snapshot.for_pupils()
    rows = week(session, told, first)
    kept = range_shown(told.tank, living(told, knowledge), Quantity.TEMPERATURE, knowledge)
    return WallChart(
        first=first,
        last=rows[-1].day,
        rows=rows,
        dots=_dots(told, kept),
        unit="°F" if told.site.fahrenheit else "°C",
        warmth=warmth_text(told, knowledge),
        portion=scoop_words(told.tank.plan.portion_scoops),
        animals=told.expected_fish,
        has_duty=any(row.tiles for row in rows),
    )


def warmth_text(told: TankSnapshot, knowledge: Knowledge) -> str:
    """Our range of warmth in words, "" while it has an open end."""
    kept = range_shown(told.tank, living(told, knowledge), Quantity.TEMPERATURE, knowledge)
    if kept is None or kept.low is None or kept.high is None:
        return ""
    return range_text(Quantity.TEMPERATURE, kept.low, kept.high, told.site)


def _dots(snapshot: TankSnapshot, kept: RangeShown | None) -> tuple[Dot, ...]:
    if kept is None or kept.low is None or kept.high is None:
        return ()
    unit = snapshot.site.unit_of(Quantity.TEMPERATURE)
    low, high = unit.from_kept(kept.low), unit.from_kept(kept.high)
    is_f = snapshot.site.fahrenheit
    beyond, steps = (_BEYOND_F, _STEPS_F) if is_f else (_BEYOND_C, _STEPS_C)
    first, end = math.floor(low - beyond), math.ceil(high + beyond)
    step = next((s for s in steps if (end - first) / s < _MOST_DOTS), steps[-1])
    values = [first + at * step for at in range(int((end - first) / step) + 1)]
    return tuple(
        Dot("" if at % 2 else short(value), low <= value <= high) for at, value in enumerate(values)
    )
