"""The sums behind the rehearsal of a break, for an adult, with the numbers put in."""

from collections.abc import Iterator
from typing import Final

from app.domain.tank import Site
from app.domain.wording import NBSP, bare_degrees, decimal, degrees, number
from app.estimates.closure import Rehearsal
from app.estimates.closure_model import Away, Part, Trouble
from app.estimates.model import Input, Origin
from app.estimates.nitrate_course import rise_of
from app.science.nitrogen import TAN_PER_PROTEIN
from app.science.units import no3_from_n
from app.services.workings.model import Sum

_W: Final = f"{NBSP}W"


def sums_of(rehearsal: Rehearsal, site: Site) -> tuple[Sum, ...]:
    """All sums; what could not be estimated has none."""
    return tuple(_all(rehearsal, site))


def _all(rehearsal: Rehearsal, site: Site) -> Iterator[Sum]:
    away = rehearsal.away
    hours = away.days * 24.0
    yield Sum(
        "From leaving to coming back",
        f"{number(hours, 1)} h ÷ 24 =",
        f"{decimal(away.days, 2)}{NBSP}days",
    )
    for part in rehearsal.parts:
        if part.estimate.known:
            yield from _of(part, away, site)


def _of(part: Part, away: Away, site: Site) -> Iterator[Sum]:
    given = {each.name: each for each in part.estimate.inputs}
    match part.trouble:
        case Trouble.FOOD:
            yield Sum(
                "Longest time without food, the visits spread evenly",
                f"{decimal(away.days, 2)} ÷ ({away.visits} + 1) =",
                f"{decimal(part.estimate.best, 1)}{NBSP}days",
            )
        case Trouble.LEVEL:
            yield from _level(part, away, given)
        case Trouble.WARMTH:
            yield from _warmth(part, given, site)
        case Trouble.NITRATE:
            yield from _nitrate(part, given)
        case _:
            return


def _level(part: Part, away: Away, given: dict[str, Input]) -> Iterator[Sum]:
    rate = decimal(given["evaporation"].best, 1)
    yield Sum(
        "Fall of the water, from its line",
        f"{rate} × {decimal(away.days, 2)} =",
        f"{decimal(part.estimate.best, 0)}{NBSP}mm",
    )
    line = given.get("line")
    if line is not None and given["evaporation"].best > 0:
        days = line.best / given["evaporation"].best
        yield Sum(
            "Until the heater line",
            f"{decimal(line.best, 0)} ÷ {rate} =",
            f"{decimal(days, 1)}{NBSP}days",
        )


def _warmth(part: Part, given: dict[str, Input], site: Site) -> Iterator[Sum]:
    room, target = given["room"], given["target"]
    per, times = given["loss"].best, " × 1.8" if site.fahrenheit else ""
    yield Sum(
        "The warmest that the heater could hold",
        f"{bare_degrees(site, room.best)} + {decimal(given['watts'].best, 0)} ÷ "
        f"{decimal(per, 2)}{times} =",
        degrees(site, part.estimate.best),
    )
    apart = f"({bare_degrees(site, target.best)} − {bare_degrees(site, room.best)})"
    yield Sum(
        f"To hold {degrees(site, target.best)}",
        f"{apart} × {decimal(per, 2)}{' ÷ 1.8' if site.fahrenheit else ''} =",
        f"{decimal(max(target.best - room.best, 0.0) * per, 0)}{_W}",
    )


def _nitrate(part: Part, given: dict[str, Input]) -> Iterator[Sum]:
    rise, food, water = given["rise"], given["food"], given["volume"]
    share = given["protein"].best / 100.0
    whole = rise_of(food.best, water.best, share)
    yield Sum(
        "Nitrate from the food: protein, the nitrogen that fish give off of it, as nitrate",
        f"{decimal(food.best, 2)} × 1000 × {number(share, 3)} × {TAN_PER_PROTEIN} × "
        f"{decimal(no3_from_n(1.0), 3)} ÷ {decimal(water.best, 1)} =",
        f"{decimal(whole, 1)}{NBSP}mg/L",
    )
    if whole > 0.0 and rise.origin is Origin.MEASURED:
        yield Sum(
            "The part of it that this tank’s tests show",
            f"{decimal(whole, 1)} × {decimal(rise.best / whole, 2)} =",
            f"{decimal(part.estimate.best, 1)}{NBSP}mg/L",
        )
