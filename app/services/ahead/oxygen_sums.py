"""The working behind the oxygen of a night: each part with its numbers put in."""

from typing import Final

from app.domain.snapshot import TankSnapshot
from app.domain.wording import NBSP, decimal, degrees, hour_text
from app.estimates.oxygen import OxygenNight
from app.estimates.oxygen_inputs import AT_C
from app.knowledge.model import Knowledge
from app.science.metabolism import Q10
from app.science.oxygen_day import OxygenDay, dawn_and_dusk
from app.services.workings.model import Sum

_MG_H: Final = f"{NBSP}mg/h"
_MG_L: Final = f"{NBSP}mg/L"


def sums_of(found: OxygenNight, snapshot: TankSnapshot, knowledge: Knowledge) -> tuple[Sum, ...]:
    """The likely run step by step; () where nothing could be estimated."""
    day, best = found.day, found.best
    if day is None or best is None:
        return ()
    return (
        *_used(found, day, snapshot),
        *_given(found, day, knowledge),
        *_closed_form(day),
        Sum(
            "Stepped through the day in five minutes, with meals, and with uses that fall off "
            "where little oxygen is left: the lowest",
            f"towards {hour_text(best.lowest_at_h)}",
            f"{decimal(best.lowest, 1)}{_MG_L}",
        ),
    )


def _used(found: OxygenNight, day: OxygenDay, snapshot: TankSnapshot) -> tuple[Sum, ...]:
    values = {each.name: each.best for each in found.estimate.inputs}
    warmth = degrees(snapshot.site, values["temperature"])
    warmer = decimal(values["temperature"] - AT_C, 1)
    dark = day.plants / values["plants"] if values["plants"] else 0.0
    parts = [decimal(each, 1) for each in (day.fish, day.plants, day.bacteria, day.bed)]
    return (
        Sum(
            f"Oxygen that water of {warmth} holds in balance with the air",
            "by the equation of Benson and Krause",
            f"{decimal(day.saturation, 2)}{_MG_L}",
        ),
        Sum(
            "What the animals use: at rest, times how lively they are, times the warmth",
            f"{decimal(values['fish'], 2)} × {decimal(values['active'], 2)} × "
            f"{decimal(Q10, 1)}^({warmer} ÷ 10) =",
            f"{parts[0]}{_MG_H}",
        ),
        Sum(
            "What the plants use in the dark",
            f"{decimal(dark, 2)} × {decimal(values['plants'], 1)}{NBSP}g =",
            f"{parts[1]}{_MG_H}",
        ),
        Sum(
            "What filter bacteria and leftovers use, from the food",
            f"{decimal(values['grams'], 2)}{NBSP}g a day, {decimal(values['protein'], 0)}{NBSP}% "
            "protein:",
            f"{parts[2]}{_MG_H}",
        ),
        Sum(
            "What the sand bed uses", f"{decimal(values['bed'], 2)}{NBSP}m²:", f"{parts[3]}{_MG_H}"
        ),
        Sum(
            "All in the dark",
            f"{' + '.join(parts)} =",
            f"{decimal(day.used_in_the_dark, 1)}{_MG_H}",
        ),
    )


def _given(found: OxygenNight, day: OxygenDay, knowledge: Knowledge) -> tuple[Sum, ...]:
    values = {each.name: each.best for each in found.estimate.inputs}
    stone = knowledge.value("surface.air-stone")
    return (
        Sum(
            "Water that surface and air bring into balance in an hour",
            f"1000 × {decimal(values['velocity'], 3)} × {decimal(values['area'], 3)} + "
            f"{decimal(stone, 0)} × {decimal(values['air'], 1)} =",
            f"{decimal(day.exchange_l_per_h, 1)}{NBSP}L/h",
        ),
        Sum(
            "What the plants make while the lamp is on",
            f"{decimal(values['light_hours'], 1)}{NBSP}h of light:",
            f"{decimal(day.made, 1)}{_MG_H}",
        ),
    )


def _closed_form(day: OxygenDay) -> tuple[Sum, ...]:
    """Where night and day would lead, and dawn and dusk between them; () without exchange."""
    if not day.exchange_l_per_h:
        return ()
    full, used, flow = day.saturation, day.used_in_the_dark, day.exchange_l_per_h
    by_night = full - used / flow
    dawn, dusk = dawn_and_dusk(day)
    return (
        Sum(
            "Where an endless night would lead",
            f"{decimal(full, 2)} − {decimal(used, 1)} ÷ {decimal(flow, 1)} =",
            f"{decimal(by_night, 2)}{_MG_L}",
        ),
        Sum(
            "Where an endless day would lead",
            f"{decimal(by_night, 2)} + {decimal(day.made, 1)} ÷ {decimal(flow, 1)} =",
            f"{decimal(by_night + day.made / flow, 2)}{_MG_L}",
        ),
        Sum(
            "Between them, if uses never fell: dusk, then dawn",
            f"dusk {decimal(dusk, 2)}, dawn",
            f"{decimal(dawn, 2)}{_MG_L}",
        ),
    )
