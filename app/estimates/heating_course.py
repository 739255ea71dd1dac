"""Water that a heater warms in a room that changes: how cold it gets, and when."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from app.domain.heating import RoomSpan
from app.science.heat import cooled_c, held_c, hours_to_reach


@dataclass(frozen=True, slots=True)
class Coldest:
    """How cold the water gets in °C, and when it first falls below an edge, or None."""

    lowest_c: float
    below_at: datetime | None


def coldest_of(
    spans: Sequence[RoomSpan],
    *,
    target_c: float,
    edge_c: float,
    heater_w: float,
    loss_w_per_c: float,
    constant_h: float,
) -> Coldest:
    """Follow the water through rooms, from its target on.

    A heater that cannot hold the target works all the time; it never warms above the target.

    Args:
        spans: The room, one span after the other.
        target_c: What the heater is set to; so warm is the water at the start.
        edge_c: Colder than this is looked out for; below the target.
        heater_w: Power of the heater.
        loss_w_per_c: What the tank loses for each °C above the room.
        constant_h: Its time constant in hours.

    Source:
        Newton's law of cooling, span by span, toward the warmth at which power and loss are equal.
    """
    water_c = lowest_c = target_c
    below_at = None
    for span in spans:
        held = held_c(heater_w, loss_w_per_c, span.room_c)
        if below_at is None and held < water_c:
            hours = hours_to_reach(water_c, edge_c, held, constant_h)
            if hours < span.hours:
                below_at = span.start + timedelta(hours=hours)
        water_c = min(target_c, cooled_c(water_c, held, span.hours, constant_h))
        lowest_c = min(lowest_c, water_c)
    return Coldest(lowest_c, below_at)
