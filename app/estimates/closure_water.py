"""Level and oxygen of a tank in a time without people."""

from dataclasses import replace
from typing import Final

from app.domain.measures import fall_l
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site
from app.domain.wording import decimal, water_amount, with_unit
from app.estimates.closure_food import grams_each
from app.estimates.closure_model import Away, Moments, Part, Trouble, unknown
from app.estimates.cooling import room_now
from app.estimates.evaporation import fall_in_a_day
from app.estimates.model import NOT_MEASURED, Estimate, Input, Origin, Triple, exact
from app.estimates.oxygen import likely_lowest, night
from app.estimates.oxygen_inputs import WhatIf, missing_of
from app.estimates.warmth import target_of
from app.knowledge.model import Knowledge
from app.science.units import inches_from_cm

HEATER_LINE: Final = "the heater’s water line"
_FALL: Final = "How far the water falls"
_LOWEST: Final = "Lowest oxygen of the nights"
_MM_PER_CM: Final = 10.0


def level(away: Away, snapshot: TankSnapshot, knowledge: Knowledge) -> Part:
    """How far the water falls from its line, and when it comes to the heater line.

    The tank is taken as filled to its line on leaving.
    """
    tank, water_c = snapshot.tank, target_of(snapshot, knowledge).best
    room = room_now(snapshot, knowledge, away.room_c)
    rate = fall_in_a_day(
        snapshot, knowledge, water_c=water_c, room=room, typed_mm=away.evaporation_mm
    )
    low, best, high = (end * away.days for end in (rate.low, rate.best, rate.high))
    line_mm = tank.shape.over_heater_line_mm if tank.has_heater else None
    spare = "" if line_mm is None else _spare(best, line_mm, snapshot.site)
    liters = fall_l(tank.shape, best / _MM_PER_CM)
    gone = "" if liters is None else f", {_liters(liters, snapshot)}"
    ends = f"; it may be {decimal(low, 0)} to {_mm(high, snapshot.site)}" if low < high else ""
    fall, off = _mm(best, snapshot.site), knowledge.value("warmth.level-off")
    inputs = [rate, exact("days", "Days", away.days, "days", origin=Origin.TYPED)]
    if line_mm is not None:
        inputs.append(
            exact("line", "Heater line below the water line", line_mm, "mm", origin=Origin.WRITTEN,
                  decimals=0)
        )  # fmt: skip
    first, likely, last = _to_line(rate, line_mm, away)
    return Part(
        trouble=Trouble.LEVEL,
        estimate=Estimate(
            what=_FALL, unit="mm", decimals=0, low=low, best=best, high=high, inputs=tuple(inputs),
            missing=(HEATER_LINE,) if tank.has_heater and line_mm is None else (),
            narrows_most="" if rate.is_exact else "the water level a week after it was filled",
            sentence=f"The water falls by about {fall}{gone}{ends}{spare}: {NOT_MEASURED}.",
        ),
        first=first, likely=likely, last=last, back=(max(low - off, 0.0), best, high + off),
        help="A visitor tops up with treated water before then.",
    )  # fmt: skip


def fallen_l(part: Part, snapshot: TankSnapshot) -> Triple:
    """Liters that are gone at the end, from the part of the level."""
    found = part.estimate
    low, best, high = (
        fall_l(snapshot.tank.shape, mm / _MM_PER_CM) or 0.0
        for mm in (found.low, found.best, found.high)
    )
    return low, best, high


def oxygen(
    away: Away, snapshot: TankSnapshot, knowledge: Knowledge, fall_mm: float, held_c: float | None
) -> Part:
    """The lowest oxygen of the nights: of the first, and of the last with less and cooler water.

    Args:
        away: The time without people.
        snapshot: The record as it stands.
        knowledge: For the line.
        fall_mm: How far the water has fallen at the end.
        held_c: What the heater holds at the end in °C, None where that is not known.
    """
    tried = WhatIf(grams=grams_each(away, snapshot) if away.visits else 0.0)
    target = target_of(snapshot, knowledge).best
    last_c = target if held_c is None else min(held_c, target)
    fallen, cooled = _fallen(snapshot, fall_mm), replace(tried, celsius=last_c)
    if missing_of(snapshot, knowledge) or missing_of(fallen, knowledge):
        return unknown(Trouble.OXYGEN, _LOWEST, "mg/L", missing_of(snapshot, knowledge))
    begin = likely_lowest(snapshot, knowledge, tried)
    end = likely_lowest(fallen, knowledge, cooled)
    at_first = begin <= end
    worse = night(*((snapshot, knowledge, tried) if at_first else (fallen, knowledge, cooled)))
    found, line = worse.estimate, knowledge.value("oxygen.act")
    when = away.leaves if at_first else away.after(max(away.days - 1.0, 0.0))
    first, likely, last = (
        when if value < line else None for value in (found.low, found.best, found.high)
    )
    start, finish = (with_unit(decimal(each, 1), "mg/L") for each in (begin, end))
    return Part(
        trouble=Trouble.OXYGEN,
        estimate=replace(
            found, what=_LOWEST,
            sentence=f"About {start} in the first night and {finish} in the last, at the lowest; "
            f"it may be {decimal(found.low, 1)} to {decimal(found.high, 1)}: {NOT_MEASURED}.",
        ),
        first=first, likely=likely, last=last,
        help="Let the filter move the surface, or run an air pump.",
    )  # fmt: skip


def _to_line(rate: Input, line_mm: float | None, away: Away) -> Moments:
    if line_mm is None:
        return None, None, None
    first, likely, last = (
        away.after(line_mm / each) if each > 0 else None
        for each in (rate.high, rate.best, rate.low)
    )
    return first, likely, last


def _fallen(snapshot: TankSnapshot, fall_mm: float) -> TankSnapshot:
    shape = snapshot.tank.shape
    if shape.water_depth_cm is None:
        return snapshot
    depth = max(shape.water_depth_cm - fall_mm / _MM_PER_CM, shape.water_depth_cm / 2.0)
    return replace(
        snapshot, tank=replace(snapshot.tank, shape=replace(shape, water_depth_cm=depth))
    )


def _spare(fall: float, line: float, site: Site) -> str:
    apart = _mm(abs(line - fall), site)
    return f", and stays {apart} above the heater line" if fall < line else (
        f", to {apart} below the heater line"
    )  # fmt: skip


def _mm(value: float, site: Site) -> str:
    text = with_unit(decimal(value, 0), "mm")
    if not site.us_gallons:
        return text
    inches = decimal(inches_from_cm(value / _MM_PER_CM), 1)
    return f"{text} ({with_unit(inches, 'in')})"


def _liters(liters: float, snapshot: TankSnapshot) -> str:
    if snapshot.site.us_gallons or liters >= 10.0:
        return water_amount(snapshot.site, liters)
    return with_unit(decimal(liters, 1), "L")
