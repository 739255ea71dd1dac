"""The notebook of one tank, and the photos of one spot side by side."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import groupby
from typing import Any

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.domain.errors import NotFound
from app.domain.tank import Tank
from app.services import notebook as books
from app.services import photos, tanks
from app.services.entries import zone_of
from app.services.notebook import Page
from app.services.photos import Photo, Room
from app.services.school import approvals
from app.web.notebook import bp
from app.web.notebook.pages import NoteShown, PhotoShown, note_shown, photo_shown, sees_all
from app.web.request import database, now
from app.web.rights import may_open

_KEY_FORM = "%Y-%m-%dT%H:%M:%S.%f"
# as many small pictures as a phone loads at once
MOST_OF_A_SPOT = 36


@dataclass(frozen=True, slots=True)
class Day:
    """One day of the notebook, newest first."""

    title: str
    notes: tuple[NoteShown, ...]
    photos: tuple[PhotoShown, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NotebookPage:
    """A page of the notebook. Addresses are "" where they are not for who is there."""

    tank: Tank
    days: tuple[Day, ...]
    older_url: str
    begins: bool
    spots: tuple[str, ...]
    room: Room
    waiting: int
    waiting_url: str
    private_url: str
    search_url: str
    copies_url: str
    writes: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SpotPage:
    """The photos of one spot, oldest first; `spots` are all spots of the tank."""

    tank: Tank
    spot: str
    spots: tuple[str, ...]
    photos: tuple[PhotoShown, ...]
    earlier_url: str
    writes: bool


@bp.get("/tank/<int:tank_id>/notebook")
def notebook(tank_id: int) -> ResponseReturnValue:
    """Notes and photos, newest first, a page at a time."""
    before = moment_arg()
    with database().reading() as session:
        tank = tanks.tank(session, tank_id)
        found = books.page(session, tank_id, keeper=sees_all(), before=before)
        page = NotebookPage(
            tank=tank,
            days=tuple(_days(found, tank_id)),
            older_url=_older("notebook.notebook", tank_id, found.older),
            begins=before is None,
            spots=photos.spots(session, tank_id, keeper=sees_all()),
            room=photos.room(session, tank_id),
            waiting=approvals.count_waiting(session, [tank_id], now=now()).get(tank_id, 0),
            waiting_url=_if_open("notebook.waiting", tank_id),
            private_url=_if_open("notebook.private", tank_id),
            search_url=_if_open("notebook.search", tank_id),
            copies_url=url_for("classes.copies") if may_open("classes.copies") else "",
            writes=may_open("notebook.add_photo"),
        )
    return render_template("notebook/notebook.html", page=page)


@bp.get("/tank/<int:tank_id>/notebook/spots")
def spots(tank_id: int) -> ResponseReturnValue:
    """The photos of one spot side by side, in the order in which they were taken."""
    before = moment_arg()
    with database().reading() as session:
        tank = tanks.tank(session, tank_id)
        known = photos.spots(session, tank_id, keeper=sees_all())
        spot = request.args.get("spot", known[0] if known else "")[: photos.SPOT]
        zone = zone_of(session, tank_id)
        found = photos.photos(
            session, tank_id, keeper=sees_all(), before=before, spot=spot, limit=MOST_OF_A_SPOT + 1
        )
    shown = found[:MOST_OF_A_SPOT]
    earlier = shown[-1].taken_at if len(found) > len(shown) else None
    page = SpotPage(
        tank=tank,
        spot=spot,
        spots=known,
        photos=tuple(photo_shown(each, zone) for each in reversed(shown)),
        earlier_url=_older("notebook.spots", tank_id, earlier, spot=spot),
        writes=may_open("notebook.add_photo"),
    )
    return render_template("notebook/spots.html", page=page)


def _days(found: Page, tank_id: int) -> Iterator[Day]:
    zone = found.zone
    shown = (
        photo_shown(each, zone) if isinstance(each, Photo) else note_shown(each, tank_id, zone)
        for each in found.items
    )
    for title, items in groupby(shown, key=lambda item: item.day):
        of_day = tuple(items)
        yield Day(
            title,
            tuple(each for each in of_day if isinstance(each, NoteShown)),
            tuple(each for each in of_day if isinstance(each, PhotoShown)),
        )


def _if_open(endpoint: str, tank_id: int) -> str:
    return url_for(endpoint, tank_id=tank_id) if may_open(endpoint) else ""


def _older(endpoint: str, tank_id: int, moment: datetime | None, **more: Any) -> str:
    if moment is None:
        return ""
    key = moment.astimezone(UTC).strftime(_KEY_FORM)
    return url_for(endpoint, tank_id=tank_id, before=key, **more)


def moment_arg() -> datetime | None:
    """Before which moment the address asks for things; None where it does not say.

    Raises:
        NotFound: If it says something else.
    """
    if "before" not in request.args:
        return None
    try:
        return datetime.strptime(request.args["before"], _KEY_FORM).replace(tzinfo=UTC)
    except ValueError:
        raise NotFound("There is no such page of the notebook.") from None
