"""Warmth of a tank in a time without people: whether the heater holds it in the coldest room."""

from collections.abc import Sequence
from datetime import timedelta
from typing import Final

from app.domain.heating import RoomSpan
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site
from app.domain.wording import decimal, degrees, duration, with_unit
from app.estimates.closure_model import Away, Part, Trouble, unknown
from app.estimates.cooling import constant_h
from app.estimates.heating_course import coldest_of
from app.estimates.missing import COLDEST, MEASURES
from app.estimates.model import NOT_MEASURED, Estimate, Input, Origin, Triple, exact
from app.estimates.room import coldest_room, course_of_room, is_heated_less, other_hours
from app.estimates.warmth import heater_power, held_by, loss_of, target_of
from app.knowledge.model import Knowledge
from app.science.heat import heater_size_w, holding_power_w

WATTS: Final = "the heater’s watts"
_HELD: Final = "The warmest that the heater could hold"


def warmth_part(away: Away, snapshot: TankSnapshot, knowledge: Knowledge) -> Part | None:
    """Whether the heater holds the warmth in the coldest room; None for a tank without one.

    The room is taken as cold as it gets for the whole time: it may be warmer by day. What comes
    from hours with less heating lasts for these hours only.
    """
    if not snapshot.tank.has_heater:
        return None
    room = coldest_room(snapshot, away.room_c)
    watts = heater_power(snapshot) if away.heater_w is None else away.heater_w
    missing = [] if room is not None else [COLDEST]
    if watts is None:
        missing.append(WATTS)
    if room is None or watts is None:
        return unknown(Trouble.WARMTH, _HELD, "°C", tuple(missing))
    target = target_of(snapshot, knowledge)
    loss = loss_of(
        snapshot, knowledge, water_c=target.best, room_c=room.best, room_then=away.room_then_c
    )
    if loss is None:
        return unknown(Trouble.WARMTH, _HELD, "°C", (MEASURES,))
    held = held_by(watts, loss.per_c, room)
    need = holding_power_w(target.best, room.best, loss.per_c.best)
    margin = knowledge.value("temperature.heater-watch")
    origin = Origin.WRITTEN if away.heater_w is None else Origin.TYPED
    spans = _rooms(away, room, snapshot, knowledge)
    worst, likely, best = (
        coldest_of(
            spans,
            target_c=target.best,
            edge_c=target.best - margin,
            heater_w=watts,
            loss_w_per_c=lost,
            constant_h=constant_h(lost, snapshot),
        )
        for lost in (loss.per_c.high, loss.per_c.best, loss.per_c.low)
    )
    changing = len(spans) > 1
    return Part(
        trouble=Trouble.WARMTH,
        estimate=Estimate(
            what=_HELD, unit="°C", decimals=1, low=held[0], best=held[1], high=held[2],
            inputs=(
                exact("watts", "The heater", watts, "W", origin=origin, decimals=0),
                target, room, *((other_hours(snapshot, knowledge),) if changing else ()),
                *loss.inputs,
            ),
            narrows_most="" if loss.pair else "two temperatures while nothing heats",
            sentence=_words(held, watts, need, (target, room), snapshot.site)
            + (_longest(spans, room.best) if changing else ""),
        ),
        first=worst.below_at, likely=likely.below_at, last=best.below_at,
        back=(worst.lowest_c - margin, target.best, target.best + margin),
        help=_more_heat(need, target, snapshot, knowledge),
    )  # fmt: skip


def _rooms(
    away: Away, room: Input, snapshot: TankSnapshot, knowledge: Knowledge
) -> tuple[RoomSpan, ...]:
    if away.room_c is None and is_heated_less(snapshot):
        return course_of_room(snapshot, knowledge, away.leaves, away.returns)
    return (RoomSpan(away.leaves, away.returns, room.best),)


def _longest(spans: Sequence[RoomSpan], coldest_c: float) -> str:
    hours = max((span.hours for span in spans if span.room_c <= coldest_c), default=0.0)
    if not hours:
        return ""
    return f" The room is that cold for {duration(timedelta(hours=hours))} at the longest."


def _words(
    held: Triple, watts: float, need: float, target_and_room: tuple[Input, Input], site: Site
) -> str:
    target, room = target_and_room
    cold, wanted = degrees(site, room.best), degrees(site, target.best)
    low, best, high = (degrees(site, each) for each in held)
    if held[1] >= target.best:
        return (
            f"The heater’s {with_unit(decimal(watts, 0), 'W')} hold {wanted} in a room of {cold}, "
            f"which takes about {with_unit(decimal(need, 0), 'W')}: {NOT_MEASURED}."
        )
    return (
        f"In a room of {cold} the heater’s {with_unit(decimal(watts, 0), 'W')} cannot hold more "
        f"than about {best} (it may be {low} to {high}). Holding {wanted} takes "
        f"{with_unit(decimal(need, 0), 'W')}: {NOT_MEASURED}."
    )


def _more_heat(need: float, target: Input, snapshot: TankSnapshot, knowledge: Knowledge) -> str:
    size = heater_size_w(need, knowledge.value("heater.margin"), knowledge.value("heater.step"))
    return (
        f"Have the room kept warmer, or cover the tank, or fit a larger heater: "
        f"{with_unit(decimal(need, 0), 'W')} hold {degrees(snapshot.site, target.best)}; with the "
        f"usual margin take {with_unit(decimal(size, 0), 'W')}."
    )
