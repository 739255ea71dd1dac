"""What the templates of this folder get."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from flask import url_for

from app.domain import wording
from app.domain.calendar import local_day
from app.domain.people import Role
from app.domain.photo import SMALL_SIDE
from app.services.notebook import Note
from app.services.photos import Photo, PhotoState
from app.web.filters import clock_parts
from app.web.request import visitor

WAITS = "A grown-up looks at it first."
WHY_HELD = {
    PhotoState.WAITING: f"{WAITS} A face or a name may be in it. Until then only adults see it.",
    PhotoState.REFUSED: "A grown-up kept this photo back. There may be a face, a name or something "
    "private in it. Ask the grown-up: they can tell you why.",
}
"""What whoever took a photo is told while not everybody sees it."""
_STATE_WORDS = {
    PhotoState.WAITING: WAITS,
    PhotoState.REFUSED: "Not shown. Only adults see it.",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoShown:
    """A photo with its addresses; sizes in pixels. `state` is "" for what everybody sees."""

    id: int
    url: str
    src: str
    small_src: str
    alt: str
    size: tuple[int, int]
    small_size: tuple[int, int]
    stamp: str
    day: str
    clock: tuple[str, str]
    spot: str
    caption: str
    by: str
    state: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteShown:
    """A note as a line; `state` is "" for what everybody may read.

    `decide_url` is where an adult decides on a helper's words, `is_shown` what was decided.
    """

    entry_id: int
    stamp: str
    day: str
    clock: tuple[str, str]
    title: str
    text: str
    by: str
    state: str
    decide_url: str
    is_shown: bool | None


def sees_all() -> bool:
    """Whether who is there may see what waits and what is not shown."""
    return visitor().role is Role.KEEPER


def photo_shown(photo: Photo, zone: str) -> PhotoShown:
    """A photo as pages show it."""
    day = wording.dated(local_day(photo.taken_at, zone))
    largest = max(photo.width, photo.height)
    small = tuple(
        max(1, round(side * min(1.0, SMALL_SIDE / largest))) for side in (photo.width, photo.height)
    )
    of: dict[str, Any] = {"tank_id": photo.tank_id, "photo_id": photo.id}
    from_spot = f", from the spot “{photo.spot}”" if photo.spot else ""
    return PhotoShown(
        id=photo.id,
        url=url_for("notebook.photo", **of),
        src=url_for("notebook.picture", **of),
        small_src=url_for("notebook.small_picture", **of),
        alt=photo.caption or f"The tank on {day}{from_spot}",
        size=(photo.width, photo.height),
        small_size=(small[0], small[1]),
        stamp=_stamp(photo.taken_at, zone),
        day=day,
        clock=clock_parts(photo.taken_at, zone),
        spot=photo.spot,
        caption=photo.caption,
        by=photo.author,
        state=_STATE_WORDS.get(photo.state, ""),
    )


def note_shown(note: Note, tank_id: int, zone: str) -> NoteShown:
    """A note as pages show it."""
    state = "A grown-up reads it first." if note.waits else ""
    return NoteShown(
        entry_id=note.entry_id,
        stamp=_stamp(note.at, zone),
        day=wording.dated(local_day(note.at, zone)),
        clock=clock_parts(note.at, zone),
        title=note.title,
        text=note.text,
        by=note.by,
        state="Not shown. Only adults see it." if note.kept_back else state,
        decide_url=url_for("notebook.decide_note", tank_id=tank_id, entry_id=note.entry_id)
        if sees_all() and not note.by_adult
        else "",
        is_shown=note.shown,
    )


def _stamp(moment: datetime, zone: str) -> str:
    return moment.astimezone(ZoneInfo(zone)).strftime("%Y-%m-%dT%H:%M")
