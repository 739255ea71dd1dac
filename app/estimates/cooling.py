"""How fast a tank comes to the warmth of its room: told by an outage, else by its measures."""

from dataclasses import dataclass
from typing import Final

from app.domain.measures import net_volume, surface_cm2
from app.domain.quantities import Quantity
from app.domain.records import Observation, Reading, Sign
from app.domain.snapshot import TankSnapshot
from app.estimates.model import Input, Origin, exact
from app.estimates.room import coldest_known_c
from app.knowledge.model import Knowledge
from app.science.bounds import clipped
from app.science.heat import CM2_PER_M2, WATER_WH_PER_L_C, box_areas_m2, heat_loss, time_constant_h
from app.science.oxygen import SATURATION_RANGE_C

_LEAST_C: Final = 1.0
"""Nearer to the room than this, a loss for each degree cannot be told from evaporation."""
UNHEATED: Final = frozenset({Sign.POWER_CUT, Sign.HEATER_OFF})
_OPEN: Final = frozenset({"open", "gap"})


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolingPair:
    """Two temperatures while nothing heated, and the hours between them."""

    first: Reading
    later: Reading
    hours: float


def room_now(snapshot: TankSnapshot, knowledge: Knowledge, typed_c: float | None) -> Input:
    """The room: as typed, else its coldest hour as written, else assumed with both ends."""
    title, unit = "The room", "°C"
    if typed_c is not None:
        return exact("room", title, typed_c, unit, origin=Origin.TYPED)
    off = knowledge.value("outage.room-off")
    written = coldest_known_c(snapshot)
    best = knowledge.value("outage.room") if written is None else written
    return Input(
        name="room", title=title, low=best if written is not None else best - off, best=best,
        high=best + off, unit=unit,
        origin=Origin.ASSUMED if written is None else Origin.WRITTEN,
        note="" if written is None else "Its coldest hour; it may be warmer.",
    )  # fmt: skip


def cooling_pair(snapshot: TankSnapshot, knowledge: Knowledge) -> CoolingPair | None:
    """The last two temperatures that tell how the tank cools, None where none were written.

    Looks in a row that found the power or the heater off bound a time in which nothing heated.
    The first and the last reading within it count, if they lie far enough apart.
    """
    apart_h, off_c = knowledge.value("heater.apart-hours"), knowledge.value("heater.reading-off")
    for run in reversed(_unheated(snapshot)):
        found = snapshot.between(Quantity.TEMPERATURE, run[0].happened_at, run[-1].happened_at)
        if len(found) < 2:
            continue
        hours = (found[-1].at - found[0].at).total_seconds() / 3600.0
        if hours >= apart_h and found[0].best - found[-1].best > off_c:
            return CoolingPair(first=found[0], later=found[-1], hours=hours)
    return None


def later_reading(pair: CoolingPair, knowledge: Knowledge) -> Input:
    """The second reading of a pair with its ends: what makes the time constant uncertain."""
    off = knowledge.value("heater.reading-off")
    return Input(
        name="later", title="How it cooled without heat", low=pair.later.best - off,
        best=pair.later.best, high=pair.later.best + off, unit="°C", origin=Origin.MEASURED,
        at=pair.later.at, note="The second of two readings while nothing heated.",
    )  # fmt: skip


def lost_w(
    snapshot: TankSnapshot, knowledge: Knowledge, water_c: float, room_c: float, *, covered: bool
) -> float | None:
    """Watts that the tank loses by its measures, negative in a warmer room; None without them."""
    shape, surface = snapshot.tank.shape, surface_cm2(snapshot.tank.shape)
    if surface is None or not shape.water_depth_cm:
        return None
    glass, base = box_areas_m2(shape.length_cm, shape.width_cm, shape.water_depth_cm)
    return heat_loss(
        glass_m2=glass, base_m2=base, surface_m2=surface / CM2_PER_M2,
        water_c=clipped(water_c, *SATURATION_RANGE_C), room_c=clipped(room_c, *SATURATION_RANGE_C),
        relative_humidity=knowledge.value("heater.humidity") / 100.0, covered=covered,
    ).total_w  # fmt: skip


def loss_by_measures(
    snapshot: TankSnapshot, knowledge: Knowledge, water_c: float, room_c: float
) -> Input | None:
    """Watts for each °C above the room, from the measures; None without them.

    A tank whose cover nobody wrote may be closed or open.

    Source:
        `science.heat.heat_loss`: derived and not measured on tanks, to be trusted to a quarter.
    """
    coldest, warmest = SATURATION_RANGE_C
    room_c = clipped(room_c, coldest, warmest - _LEAST_C)
    warmer_c = max(clipped(water_c, coldest, warmest) - room_c, _LEAST_C)
    cover = snapshot.tank.cover
    closed, bare = (
        lost_w(snapshot, knowledge, room_c + warmer_c, room_c, covered=covered)
        for covered in (True, False)
    )
    if closed is None or bare is None:
        return None
    best = (bare if cover in _OPEN else closed) / warmer_c
    most = best if cover else bare / warmer_c
    trust = knowledge.value("outage.loss-off") / 100.0
    return Input(
        name="loss", title="Warmth it loses for each °C above the room",
        low=best * (1.0 - trust), best=best, high=most * (1.0 + trust), unit="W", decimals=1,
        origin=Origin.ASSUMED, source="iso-6946",
        note="From the tank’s measures" + (f", {_COVERS[cover]}." if cover in _COVERS else "."),
    )  # fmt: skip


_COVERS: Final = {
    "closed": "with a closed cover",
    "gap": "with a gap in its cover, counted as open",
    "open": "without a cover",
}


def constant_h(loss_w_per_c: float, snapshot: TankSnapshot) -> float:
    """Time constant from what a tank loses, in hours.

    Raises:
        ValueError: If the tank has no measures.
    """
    water = net_volume(snapshot.tank.shape)
    if water is None:
        raise ValueError("no measures")
    return WATER_WH_PER_L_C * water.net_l / loss_w_per_c


def constant_of_pair_h(pair: CoolingPair, later_c: float, room_c: float) -> float:
    """Time constant from a pair in hours; infinite where it did not move toward the room."""
    try:
        return time_constant_h(pair.first.best, later_c, room_c, pair.hours)
    except ValueError:
        return float("inf")


def _unheated(snapshot: TankSnapshot) -> list[list[Observation]]:
    """Looks in a row that found nothing heating, oldest run first."""
    runs: list[list[Observation]] = []
    before = False
    for look in snapshot.observations:
        off = bool(UNHEATED & set(look.signs))
        if off and before:
            runs[-1].append(look)
        elif off:
            runs.append([look])
        before = off
    return runs
