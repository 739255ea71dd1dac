"""What was seen day by day, for everybody with the tank."""

from dataclasses import dataclass

from flask import render_template
from flask.typing import ResponseReturnValue

from app.domain.tank import Tank
from app.services import sightings as service
from app.services import tanks
from app.web.filters import short_day
from app.web.notebook import bp
from app.web.request import database, now, visitor


@dataclass(frozen=True, slots=True, kw_only=True)
class SightingsPage:
    """A table: its columns, and rows of a name and one cell a day; `calm` when no sign was seen."""

    tank: Tank
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    calm: bool


@bp.get("/tank/<int:tank_id>/notebook/seen")
def sightings(tank_id: int) -> ResponseReturnValue:
    """How often each sign was seen on the last seven days."""
    with database().reading() as session:
        tank = tanks.tank(session, tank_id)
        found = service.sightings(session, tank_id, pupils=not visitor().is_adult, now=now())
    looks = ("Looks", *(str(n) if n else "nobody looked" for n in found.looks))
    signs = ((word.capitalize(), *map(_of, each, found.looks)) for word, each in found.signs)
    page = SightingsPage(
        tank=tank,
        columns=("Seen", *(short_day(day) for day in found.days)),
        rows=(looks, *signs),
        calm=not found.signs and any(found.looks),
    )
    return render_template("notebook/sightings.html", page=page)


def _of(seen: int, looks: int) -> str:
    """How many of the looks of a day saw it; a day without a look says nothing."""
    return f"{seen} of {looks}" if looks else "–"
