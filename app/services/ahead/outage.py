"""What the outage page shows: hours until oxygen or warmth reach a line, and what it asks."""

import math
from dataclasses import dataclass
from typing import Final

from app.domain.measures import net_volume
from app.domain.quantities import Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site
from app.domain.wording import (
    NBSP,
    bare_degrees,
    decimal,
    degrees,
    degrees_apart,
    listed,
    with_unit,
)
from app.estimates.cooling import constant_h
from app.estimates.model import NOT_MEASURED, Input
from app.estimates.outage import Reaching, Situation, hours_words, oxygen_falls
from app.estimates.outage_warmth import Heating, too_cold, too_warm
from app.knowledge.model import Knowledge
from app.rules.warmth_range import warmth_range
from app.services.workings.model import Ask, Given, Sum
from app.services.workings.units import CELSIUS, OXYGEN

ASKS: Final = (
    Ask(
        name="water", label="The water now", noun="the water’s temperature", units=CELSIUS, low=0,
        high=40, required=False, quantity=Quantity.TEMPERATURE, hint="Empty: as last written.",
    ),
    Ask(
        name="room", label="The room", noun="the room’s temperature", units=CELSIUS, low=0,
        high=40, required=False, quantity=Quantity.TEMPERATURE,
        hint="A thermometer beside the tank tells. Empty: as written, else assumed.",
    ),
    Ask(
        name="oxygen", label="Oxygen now", noun="the oxygen", units=OXYGEN, low=0, high=20,
        required=False, quantity=Quantity.OXYGEN, hint="Empty: by the estimate of the day.",
    ),
)  # fmt: skip
"""All may stay empty."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """What happens in one way of stopping: rows are (line, hours, likely), in words.

    `missing` says why there are no rows, `note` what else is to be said.
    """

    rows: tuple[tuple[str, str, str], ...]
    missing: tuple[str, ...]
    narrows_most: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outage:
    """Hours until each line, by what stops: `air` for power or filter, `cold`, and `warm`.

    `inputs` are all that the hours rest on, each once; `sums` is the working of the cooling.
    """

    air: Part
    cold: Part
    warm: Part
    inputs: tuple[Input, ...]
    sums: tuple[Sum, ...]
    warm_up: str
    cooler: str
    keeps_days: str


def situation_of(given: Given | None) -> Situation:
    """What was typed."""
    if given is None:
        return Situation()
    return Situation(
        water_c=given.maybe("water"), room_c=given.maybe("room"), oxygen=given.maybe("oxygen")
    )


def outage(snapshot: TankSnapshot, knowledge: Knowledge, given: Situation) -> Outage:
    """What happens without power, filter or heater, and with a heater that does not stop."""
    wanted = warmth_range(snapshot, knowledge)
    cold_c = (wanted.low, knowledge.value("temperature.emergency-low"))
    warm_c = (wanted.high, knowledge.value("temperature.emergency-high"))
    air = oxygen_falls(snapshot, knowledge, given)
    cold = too_cold(snapshot, knowledge, given, sorted(set(cold_c), reverse=True))
    heating = too_warm(snapshot, knowledge, given, sorted(set(warm_c)))
    warm = heating.reaching
    named = {each.name: each for part in (warm, cold, air) for each in part.inputs}
    most = knowledge.value("outage.most-hours")
    return Outage(
        air=_part(air, most),
        cold=_part(cold, most),
        warm=_part(warm, most, _held(heating, snapshot.site)),
        inputs=tuple(named.values()),
        sums=_sums(cold, max(cold_c), snapshot),
        warm_up=degrees_apart(snapshot.site, knowledge.value("outage.warm-up")),
        cooler=degrees_apart(snapshot.site, knowledge.value("change.cool")),
        keeps_days=decimal(knowledge.value("warmth.readings-days"), 0),
    )


def _part(found: Reaching, most_h: float, note: str = "") -> Part:
    return Part(
        rows=tuple(
            (
                each.what[:1].upper() + each.what[1:],
                hours_words(each.low, each.high, most_h),
                hours_words(each.best, each.best, most_h),
            )
            for each in found.lines
        ),
        missing=found.missing,
        narrows_most=found.narrows_most,
        note=note,
    )


def answer(snapshot: TankSnapshot, knowledge: Knowledge) -> str:
    """How long oxygen and warmth last, in one sentence for the list of questions."""
    air, cold = (
        oxygen_falls(snapshot, knowledge, Situation()),
        too_cold(snapshot, knowledge, Situation(), (warmth_range(snapshot, knowledge).low,)),
    )
    first = [part.lines[0] for part in (air, cold) if part.lines]
    if not first:
        return f"It cannot be estimated: nobody wrote {listed(air.missing)}."
    return " ".join(f"Until {each.sentence}" for each in first)


def _held(heating: Heating, site: Site) -> str:
    if heating.held is None:
        return ""
    low, best, high = (
        degrees(site, each) for each in (heating.held.low, heating.held.best, heating.held.high)
    )
    return f"Left alone it would end at about {best} ({low} to {high}); {NOT_MEASURED}."


def _sums(cold: Reaching, line_c: float, snapshot: TankSnapshot) -> tuple[Sum, ...]:
    """The working of the cooling, () where the line is not in sight."""
    values = {each.name: each.best for each in cold.inputs}
    water_l = net_volume(snapshot.tank.shape)
    if not cold.lines or water_l is None or math.isinf(cold.lines[0].best):
        return ()
    volume, loss, first = water_l.net_l, values["loss"], cold.lines[0]
    constant = constant_h(loss, snapshot)
    site = snapshot.site
    water, room, line = (
        bare_degrees(site, each) for each in (values["temperature"], values["room"], line_c)
    )
    return (
        Sum(
            "Time in which the gap to the room shrinks to 37 of 100",
            f"1.163 × {decimal(volume, 1)}{NBSP}L ÷ {decimal(loss, 1)}{NBSP}W =",
            with_unit(decimal(constant, 1), "h"),
        ),
        Sum(
            f"Until {first.what}",
            f"−{decimal(constant, 1)} × ln(({line} − {room}) ÷ ({water} − {room})) =",
            with_unit(decimal(first.best, 1), "h"),
        ),
    )
