"""What the warmth page asks, and the sums behind its estimate."""

from typing import Final

from app.domain.quantities import Quantity
from app.domain.tank import Site
from app.domain.wording import (
    NBSP,
    bare_degrees,
    decimal,
    degrees,
    degrees_apart,
    number,
    water_amount,
)
from app.estimates.cooling import CoolingPair
from app.estimates.model import Input
from app.estimates.room import coldest_known_c
from app.estimates.warmth import Loss, Tried, Warmth
from app.knowledge.model import Knowledge
from app.science.heat import WATER_WH_PER_L_C, energy_kwh_per_day
from app.science.units import FAHRENHEIT_PER_CELSIUS
from app.services.workings.model import Ask, Given, Sum
from app.services.workings.units import CELSIUS, kept

_W: Final = f"{NBSP}W"

QUESTIONS: Final = (
    Ask(
        name="coldest", label="The room in its coldest hour", noun="the room in its coldest hour",
        units=CELSIUS, low=0, high=40, required=False, quantity=Quantity.TEMPERATURE,
        known=lambda s, _: coldest_known_c(s), hint="By night, in winter.",
    ),
    Ask(
        name="room_then", label="The room while the tank cooled",
        noun="the room while the tank cooled", units=CELSIUS, low=0, high=40, required=False,
        quantity=Quantity.TEMPERATURE,
        hint="Where two temperatures were written while nothing heated. Empty: assumed.",
    ),
    Ask(
        name="mean", label="The room in the mean of a year", noun="the room’s mean over a year",
        units=CELSIUS, low=0, high=40, required=False, quantity=Quantity.TEMPERATURE,
        hint="Summer and winter, day and night together. For the cost of a year.",
    ),
    Ask(
        name="price", label="Price of a kilowatt-hour", noun="the price of a kilowatt-hour",
        units=(kept(""),), low=0, high=1000, required=False,
        hint="From your bill, in your own money.",
    ),
)  # fmt: skip
"""All may stay empty."""


def tried_of(given: Given) -> Tried:
    """What was typed."""
    return Tried(
        coldest=given.maybe("coldest"),
        room_then=given.maybe("room_then"),
        mean_room=given.maybe("mean"),
        price=given.maybe("price"),
    )


def heater_text(found: Warmth, site: Site) -> str:
    """Whether the heaters that are written down are enough, in a sentence."""
    if found.size_w is None or found.room is None:
        return ""
    size = f"{decimal(found.size_w, 0)}{_W}"
    if found.heater_w is None or found.held is None:
        return f"Nobody wrote the heater’s watts. With the usual margin it would be {size}."
    watts, cold = f"{decimal(found.heater_w, 0)}{_W}", degrees(site, found.room.best)
    low, best, high = (degrees(site, each) for each in found.held)
    if found.held[1] < found.target.best:
        return (
            f"The {watts} of the heater are too few: in a room of {cold} they hold about {best} "
            f"({low} to {high}). With the usual margin take {size}."
        )
    if found.heater_w < found.size_w:
        return (
            f"The {watts} of the heater are just enough in a room of {cold}; with the usual "
            f"margin it would be {size}."
        )
    return f"The {watts} of the heater are enough in a room of {cold}, with a margin."


def cover_text(found: Warmth, site: Site) -> str:
    """What a closed cover saves, in a sentence; "" where it is not known."""
    cover = found.cover
    if cover is None or found.room is None:
        return ""
    liters = decimal(cover.liters_a_day, 1)
    amount = water_amount(site, cover.liters_a_day) if site.us_gallons else f"{liters}{NBSP}L"
    return (
        f"By its measures, in a room of {degrees(site, found.room.best)} the open tank takes "
        f"about {decimal(cover.open_w, 0)}{_W}, with a closed cover "
        f"{decimal(cover.closed_w, 0)}{_W}: it saves about {decimal(cover.saved_w, 0)}{_W}. "
        f"Open, about {decimal(cover.mm_a_day, 1)}{NBSP}mm evaporate each day ({amount})."
    )


def year_text(found: Warmth, site: Site) -> str:
    """Energy and cost of a year, in a sentence; "" where no mean of the room was typed."""
    year = found.year
    if year is None:
        return ""
    low, best, high = (decimal(each, 0) for each in (year.kwh.low, year.kwh.best, year.kwh.high))
    text = (
        f"With the room at {degrees(site, year.room_c)} in the mean, the heater takes about "
        f"{best}{NBSP}kWh in a year ({low} to {high})"
    )
    if year.cost is None:
        return f"{text}."
    low, best, high = (decimal(each, 0) for each in year.cost)
    return f"{text}. It costs about {best} ({low} to {high}), in the money of your price."


def sums_of(found: Warmth, site: Site, knowledge: Knowledge) -> tuple[Sum, ...]:
    """The adult’s working with the numbers put in; () where nothing could be estimated."""
    if found.loss is None or found.room is None:
        return ()
    return (
        *_cooling(found.loss, site),
        _holding(found.target, found.room, found.loss, site),
        *_heater(found, site, knowledge),
        *_year(found, site, knowledge),
    )


def pair_text(pair: CoolingPair, site: Site, knowledge: Knowledge) -> str:
    """The two readings without a heater, and how long they count, in two sentences."""
    first, later = (f"{bare_degrees(site, each.best)}" for each in (pair.first, pair.later))
    unit = "°F" if site.fahrenheit else "°C"
    hours = f"{number(pair.hours, 1)}{NBSP}h"
    keeps = f"{decimal(knowledge.value('warmth.readings-days'), 0)} days"
    return (
        f"Without a heater it went from {first} to {later}{NBSP}{unit} in {hours}. Such readings "
        f"count for {keeps}."
    )


def _cooling(loss: Loss, site: Site) -> tuple[Sum, ...]:
    if loss.pair is None or not loss.constant:
        return ()
    pair, room = loss.pair, loss.inputs[1].best
    first, later, cold = (
        bare_degrees(site, each) for each in (pair.first.best, pair.later.best, room)
    )
    constant = decimal(loss.constant[1], 1)
    volume = decimal(loss.per_c.best * loss.constant[1] / WATER_WH_PER_L_C, 1)
    return (
        Sum(
            "Time constant: the gap to the room shrinks to 37 of 100",
            f"{number(pair.hours, 2)} ÷ ln(({first} − {cold}) ÷ ({later} − {cold})) =",
            f"{constant}{NBSP}h",
        ),
        Sum(
            "Heat it loses for each °C; a liter holds 1.163 Wh for each °C",
            f"1.163 × {volume} ÷ {constant} =",
            f"{decimal(loss.per_c.best, 2)}{_W}",
        ),
    )


def _holding(target: Input, room: Input, loss: Loss, site: Site) -> Sum:
    watts = (target.best - room.best) * loss.per_c.best
    apart = degrees_apart(site, target.best - room.best)
    per = loss.per_c.best / (FAHRENHEIT_PER_CELSIUS if site.fahrenheit else 1.0)
    return Sum(
        f"To hold {bare_degrees(site, target.best)} in a room of {bare_degrees(site, room.best)}",
        f"{decimal(per, 2)} × {apart} =",
        f"{decimal(max(watts, 0.0), 0)}{_W}",
        f"= {decimal(energy_kwh_per_day(max(watts, 0.0)), 2)}{NBSP}kWh in such a day",
    )


def _heater(found: Warmth, site: Site, knowledge: Knowledge) -> tuple[Sum, ...]:
    sums = []
    if found.size_w is not None:
        margin = number(knowledge.value("heater.margin"), 1)
        sums.append(
            Sum(
                "A heater with a margin, in full steps",
                f"{decimal(found.holding.best, 0)} × {margin} → up to",
                f"{decimal(found.size_w, 0)}{_W}",
            )
        )
    if found.held is not None and found.heater_w is not None and found.room and found.loss:
        per = found.loss.per_c.best
        scale, unit = (FAHRENHEIT_PER_CELSIUS, "°F") if site.fahrenheit else (1.0, "°C")
        cold = bare_degrees(site, found.room.best)
        text = f"{cold} + {decimal(found.heater_w, 0)} ÷ {decimal(per, 2)}"
        times = f" × {FAHRENHEIT_PER_CELSIUS}" if scale > 1.0 else ""
        answer = f"{bare_degrees(site, found.held[1])}{NBSP}{unit}"
        sums.append(Sum("The warmest that the heater could hold", f"{text}{times} =", answer))
    return tuple(sums)


def _year(found: Warmth, site: Site, knowledge: Knowledge) -> tuple[Sum, ...]:
    year = found.year
    if year is None or found.loss is None:
        return ()
    days = knowledge.value("warmth.year-days")
    watts = year.kwh.best * 1000.0 / 24.0 / days
    kwh = decimal(year.kwh.best, 0)
    sums = [
        Sum(
            f"A year in a room of {bare_degrees(site, year.room_c)} in the mean",
            f"{decimal(watts, 0)} × 24 × {decimal(days, 0)} ÷ 1000 =",
            f"{kwh}{NBSP}kWh",
        )
    ]
    if year.cost is not None and year.price is not None:
        price = number(year.price, 4)
        sums.append(Sum("What it costs", f"{kwh} × {price} =", decimal(year.cost[1], 0)))
    return tuple(sums)
