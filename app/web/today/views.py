"""Today and the door view of one tank."""

from flask import render_template
from flask.typing import ResponseReturnValue

from app.services import board, maturing, own_species, ranges, tasks
from app.web.request import database, now, show_state, visitor
from app.web.saved import just_saved
from app.web.today import bp
from app.web.today.pages import door_page, today_page


@bp.get("/tank/<int:tank_id>/")
def today(tank_id: int) -> ResponseReturnValue:
    """May we feed, is it calm, what first; after a save, the saved line."""
    pupils = not visitor().is_adult
    with database().reading() as session:
        snapshot, seen = tasks.look(session, [tank_id], now=now(), pupils=pupils)[tank_id]
        # what pupils were not told of is left out of theirs
        fresh = () if pupils else maturing.to_keep(session, snapshot, seen)
        saved = just_saved(session, tank_id, pupils=pupils)
        bands = ranges.ranges_of(snapshot, own_species.known(session))
    board.keep(database(), fresh)
    page = today_page(snapshot, seen, ranges=bands, visitor=visitor(), saved=saved)
    show_state(seen)
    return render_template("today/today.html", page=page)


@bp.get("/tank/<int:tank_id>/door")
def door(tank_id: int) -> ResponseReturnValue:
    """The same answers from six meters, without buttons."""
    with database().reading() as session:
        # the door is read by everybody who walks by
        snapshot, seen = tasks.look(session, [tank_id], now=now(), pupils=True)[tank_id]
    return render_template("today/door.html", page=door_page(snapshot, seen))
