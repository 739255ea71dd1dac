"""Today and the door view of one tank."""

from flask import render_template, request
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session

from app.domain.errors import NotFound
from app.services import ranges, story, tasks
from app.services.story import StoryLine
from app.web.request import database, now, show_state, visitor
from app.web.today import bp
from app.web.today.pages import door_page, today_page


@bp.get("/tank/<int:tank_id>/")
def today(tank_id: int) -> ResponseReturnValue:
    """May we feed, is it calm, what first; after a save, the saved line."""
    pupils = not visitor().is_adult
    with database().reading() as session:
        snapshot, seen = tasks.look(session, [tank_id], now=now(), pupils=pupils)[tank_id]
        saved = _saved(session, tank_id)
    page = today_page(
        snapshot, seen, ranges=ranges.ranges_of(snapshot.tank), visitor=visitor(), saved=saved
    )
    show_state(seen)
    return render_template("today/today.html", page=page)


@bp.get("/tank/<int:tank_id>/door")
def door(tank_id: int) -> ResponseReturnValue:
    """The same answers from six meters, without buttons."""
    with database().reading() as session:
        # the door is read by everybody who walks by
        snapshot, seen = tasks.look(session, [tank_id], now=now(), pupils=True)[tank_id]
    return render_template("today/door.html", page=door_page(snapshot, seen))


def _saved(session: Session, tank_id: int) -> StoryLine | None:
    """The entry that the address says was just saved, if the tank has it."""
    entry_id = request.args.get("saved", type=int)
    if entry_id is None:
        return None
    try:
        return story.line(session, tank_id, entry_id, pupils=not visitor().is_adult)
    except NotFound:
        return None
