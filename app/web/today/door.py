"""The door view of one tank: to be read from six meters, without buttons."""

from dataclasses import dataclass
from typing import Final

from flask import Response, make_response, render_template, url_for

from app.rules.model import MealAnswer
from app.services.sharing import door as service
from app.web.request import database, now
from app.web.today import bp
from app.web.today.pages import DayLine, day_line

REFRESH_S: Final = 60
"""After so many seconds the page comes anew."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DoorPage:
    """Feeding, state, when somebody last looked, and at most three lines of what to do."""

    tank_name: str
    day: DayLine
    meal: MealAnswer
    state: str
    word: str
    line: str
    looked: str
    first: tuple[str, ...]
    back_url: str


@bp.get("/tank/<int:tank_id>/door")
def door(tank_id: int) -> Response:
    """What everybody who walks by may read."""
    with database().reading() as session:
        found = service.door(session, tank_id, now=now())
    page = DoorPage(
        tank_name=found.snapshot.tank.name,
        day=day_line(found.snapshot.as_of, found.snapshot.site.zone),
        meal=found.meal,
        state=found.state.value,
        word=found.state.word,
        line=found.line,
        looked=found.looked,
        first=found.first,
        back_url=url_for("today.today", tank_id=tank_id),
    )
    answer = make_response(render_template("today/door.html", page=page))
    answer.headers["Refresh"] = str(REFRESH_S)
    return answer
