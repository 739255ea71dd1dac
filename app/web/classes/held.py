"""What is held about one helper, and a plain notice for families."""

from dataclasses import dataclass

from flask import Response, render_template
from flask.typing import ResponseReturnValue

from app.domain import wording
from app.domain.nicknames import PAST
from app.services.school import held as service
from app.services.school.classes import Group
from app.services.school.held import Held
from app.web.classes import bp
from app.web.classes.reading import Here, here
from app.web.classes.tiles import tile_of
from app.web.request import database


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldPage:
    """Everything that hangs on one tile."""

    group: Group
    held: Held
    made_on: str


@bp.get("/classes/<int:class_id>/tiles/<int:author_id>/held")
def held(class_id: int, author_id: int) -> ResponseReturnValue:
    """All that is held about a helper, as a page."""
    place, found = _found(class_id, author_id)
    made_on = wording.dated(place.today)
    page = HeldPage(group=place.group, held=found, made_on=made_on)
    return render_template("classes/held.html", page=page)


@bp.get("/classes/<int:class_id>/tiles/<int:author_id>/held.csv")
def held_csv(class_id: int, author_id: int) -> ResponseReturnValue:
    """The same as a file."""
    _, found = _found(class_id, author_id)
    return Response(
        "".join(found.csv()),
        mimetype="text/csv",
        headers={"Content-Disposition": "attachment; filename=held-about-a-helper.csv"},
    )


def _found(class_id: int, author_id: int) -> tuple[Here, Held]:
    place = here(class_id)
    tile_of(class_id, author_id)
    with database().reading() as session:
        return place, service.about(session, author_id)


@bp.get("/classes/<int:class_id>/notice")
def notice(class_id: int) -> ResponseReturnValue:
    """A page for families: what is kept, for how long, and what they can ask for."""
    return render_template("classes/notice.html", page=here(class_id), past=PAST)
