"""How fast the water falls by evaporation: from a written level, else from room and cover."""

from datetime import timedelta
from typing import Final

from app.domain.quantities import Quantity
from app.domain.records import JobKind
from app.domain.snapshot import TankSnapshot, last_where
from app.estimates.model import Input, Origin, exact, spread
from app.knowledge.model import Knowledge
from app.science.bounds import clipped
from app.science.heat import evaporation_mm_per_day
from app.science.oxygen import SATURATION_RANGE_C

_NAME: Final = "evaporation"
_TITLE: Final = "Water that evaporates in a day"
_UNIT: Final = "mm"
_COVERS: Final = {
    "closed": "with a closed cover",
    "gap": "with a gap in its cover",
    "open": "without a cover",
}


def fall_in_a_day(
    snapshot: TankSnapshot,
    knowledge: Knowledge,
    *,
    water_c: float,
    room: Input,
    typed_mm: float | None = None,
) -> Input:
    """Millimeters by which the water falls in a day, at least 0, with both ends.

    Args:
        snapshot: The record of the tank.
        knowledge: For the dampness of the air and what a cover holds back.
        water_c: Warmth of the water in °C.
        room: Warmth of the room in °C with its ends.
        typed_mm: What somebody measured or wants to try, or None.

    Source:
        A written level and the days since the last filling; else `science.heat` for an open
        surface, and shares of our own choice for covers.
    """
    if typed_mm is not None:
        return exact(_NAME, _TITLE, typed_mm, _UNIT, origin=Origin.TYPED)
    written = _by_level(snapshot, knowledge)
    return _by_room(snapshot, knowledge, water_c, room) if written is None else written


def open_surface_mm(knowledge: Knowledge, *, water_c: float, room_c: float) -> float:
    """What an open surface evaporates in a day in mm, in air of usual dampness."""
    damp = knowledge.value("heater.humidity") / 100.0
    return _open_mm(water_c, room_c, damp)


def _by_level(snapshot: TankSnapshot, knowledge: Knowledge) -> Input | None:
    """From the newest level that was written long enough after a filling."""
    levels = snapshot.of(Quantity.WATER_LEVEL)
    filled = snapshot.jobs_of(JobKind.TOP_UP, JobKind.WATER_CHANGE)
    if not levels:
        return None
    newest = levels[-1]
    before = last_where(filled, lambda job: job.happened_at <= newest.at)
    if before is None:
        return None
    days = (newest.at - before.happened_at) / timedelta(days=1)
    if days < knowledge.value("warmth.level-days"):
        return None
    off = knowledge.value("warmth.level-off")
    low, best, high = (max(newest.best + end, 0.0) / days for end in (-off, 0.0, off))
    return Input(
        name=_NAME, title=_TITLE, low=low, best=best, high=high, unit=_UNIT,
        origin=Origin.MEASURED, at=newest.at, note="From the level and the filling before it.",
    )  # fmt: skip


def _by_room(snapshot: TankSnapshot, knowledge: Knowledge, water_c: float, room: Input) -> Input:
    """From what an open surface gives to the air, and what the cover holds back."""
    damp = Input(
        name="damp", title="Dampness of the air", low=knowledge.value("warmth.damp-low"),
        best=knowledge.value("heater.humidity"), high=knowledge.value("warmth.damp-high"),
        origin=Origin.ASSUMED,
    )  # fmt: skip
    cover = snapshot.tank.cover
    found = spread(
        lambda v: v["cover"] * _open_mm(water_c, v[room.name], v["damp"] / 100.0),
        (room, damp, _let_out(cover, knowledge)),
    )
    return Input(
        name=_NAME, title=_TITLE, low=max(found.low, 0.0), best=found.best, high=found.high,
        unit=_UNIT, origin=Origin.ASSUMED, source="smith-1998",
        note=f"From the warmth of water and room, {_COVERS.get(cover, 'its cover unknown')}.",
    )  # fmt: skip


def _open_mm(water_c: float, room_c: float, damp: float) -> float:
    """From an open surface; warmth beyond what the equation holds for counts as its end."""
    water, room = (clipped(each, *SATURATION_RANGE_C) for each in (water_c, room_c))
    return evaporation_mm_per_day(water, room, damp)


def _let_out(cover: str, knowledge: Knowledge) -> Input:
    """The share of what an open tank evaporates, for each cover; unknown may be any."""
    value = knowledge.value
    low, best, high = {
        "closed": (0.0, value("warmth.closed-best"), value("warmth.closed-most")),
        "gap": (value("warmth.gap-least"), value("warmth.gap-best"), 1.0),
        "open": (1.0, 1.0, 1.0),
    }.get(cover, (0.0, value("warmth.gap-best"), 1.0))
    return Input(
        name="cover", title="What the cover lets out", low=low, best=best, high=high,
        origin=Origin.ASSUMED,
    )  # fmt: skip
