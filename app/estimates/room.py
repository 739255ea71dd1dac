"""How cold the room gets: as written of the tank's place, and in hours with less heating."""

from datetime import datetime
from typing import Final

from app.domain.heating import RoomSpan, lowest_setback_c, room_course
from app.domain.snapshot import TankSnapshot
from app.estimates.model import Input, Origin, exact
from app.knowledge.model import Knowledge

LESS_HEATING: Final = "In hours with less heating."


def is_heated_less(snapshot: TankSnapshot) -> bool:
    """Whether hours with less heating make the room colder than was written of its place."""
    lowest, written = lowest_setback_c(snapshot.site), snapshot.tank.coldest_room_c
    return lowest is not None and (written is None or lowest < written)


def coldest_known_c(snapshot: TankSnapshot) -> float | None:
    """The coldest that the room gets in °C, by its place or the heating; None where unknown."""
    known = (lowest_setback_c(snapshot.site), snapshot.tank.coldest_room_c)
    return min((each for each in known if each is not None), default=None)


def coldest_room(snapshot: TankSnapshot, typed_c: float | None) -> Input | None:
    """The room in its coldest hour, as typed or as written; None where nobody knows."""
    title, written = "The room in its coldest hour", coldest_known_c(snapshot)
    if typed_c is not None:
        return exact("room", title, typed_c, "°C", origin=Origin.TYPED)
    if written is None:
        return None
    return Input(
        name="room", title=title, low=written, best=written, high=written, unit="°C",
        origin=Origin.WRITTEN, note=LESS_HEATING if is_heated_less(snapshot) else "",
    )  # fmt: skip


def other_hours(snapshot: TankSnapshot, knowledge: Knowledge) -> Input:
    """The room outside the hours with less heating.

    As cold as was written of its place; else as cold as a room is assumed to get.
    """
    title, written = "The room at other hours", snapshot.tank.coldest_room_c
    assumed = knowledge.value("outage.room") - knowledge.value("outage.room-off")
    room_c, origin = (assumed, Origin.ASSUMED) if written is None else (written, Origin.WRITTEN)
    return exact("other_room", title, room_c, "°C", origin=origin)


def course_of_room(
    snapshot: TankSnapshot, knowledge: Knowledge, start: datetime, end: datetime
) -> tuple[RoomSpan, ...]:
    """The room from one moment to another, colder in the hours with less heating."""
    return room_course(snapshot.site, start, end, other_hours(snapshot, knowledge).best)
