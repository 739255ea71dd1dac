"""Search through what was typed, for adults."""

from dataclasses import dataclass
from itertools import groupby

from flask import render_template, request
from flask.typing import ResponseReturnValue

from app.domain import wording
from app.domain.tank import Tank
from app.services import notebook as books
from app.services import tanks
from app.services.entries import zone_of
from app.services.notebook import Found
from app.web.notebook import bp
from app.web.notebook.pages import PhotoShown, photo_shown, sees_all
from app.web.request import database, now
from app.web.story.pages import Row, entry_addresses, row_of

LONGEST = 80


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchPage:
    """What was searched for, and what was found; `found` is None before a search."""

    tank: Tank
    text: str
    found: Found | None
    days: tuple[tuple[str, tuple[Row, ...]], ...]
    photos: tuple[PhotoShown, ...]


@bp.get("/tank/<int:tank_id>/notebook/search")
def search(tank_id: int) -> ResponseReturnValue:
    """Notes, reasons, captions, and names of animals and plants that hold all the words."""
    text = request.args.get("q", "")[:LONGEST].strip()
    with database().reading() as session:
        tank = tanks.tank(session, tank_id)
        zone = zone_of(session, tank_id)
        found = books.search(session, tank_id, text, keeper=sees_all()) if text else None
    to_entry = entry_addresses(tank_id)
    page = SearchPage(
        tank=tank,
        text=text,
        found=found,
        days=tuple(
            (wording.dated(day), tuple(row_of(line, to_entry, zone, now()) for line in lines))
            for day, lines in groupby(found.entries if found else (), lambda line: line.local_day)
        ),
        photos=tuple(photo_shown(each, zone) for each in (found.photos if found else ())),
    )
    return render_template("notebook/search.html", page=page)
