"""Today of one tank."""

from flask import render_template
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session

from app.domain.snapshot import TankSnapshot
from app.services import board, maturing, own_species, ranges, tasks
from app.services.ahead import ledger
from app.services.school import rota
from app.services.school.tiles import Hands
from app.web.request import database, now, show_state, visitor
from app.web.saved import just_saved
from app.web.today import bp
from app.web.today.notices import notices
from app.web.today.pages import today_page


@bp.get("/tank/<int:tank_id>/")
def today(tank_id: int) -> ResponseReturnValue:
    """May we feed, is it calm, what first; after a save, the saved line."""
    pupils = not visitor().is_adult
    with database().reading() as session:
        snapshot, seen = tasks.look(session, [tank_id], now=now(), pupils=pupils)[tank_id]
        # what pupils were not told of is left out of theirs
        fresh = () if pupils else maturing.to_keep(session, snapshot, seen)
        saved = just_saved(session, tank_id, pupils=pupils)
        lines = notices(session, tank_id)
        duty = _on_duty(session, snapshot)
        bands = ranges.ranges_of(snapshot, own_species.known(session, snapshot.site.id))
    board.keep(database(), fresh)
    if saved is not None:
        ledger.keep(database(), tank_id, now=now())
    page = today_page(
        snapshot, seen, ranges=bands, visitor=visitor(), saved=saved, notices=lines, on_duty=duty
    )
    show_state(seen)
    return render_template("today/today.html", page=page)


def _on_duty(session: Session, snapshot: TankSnapshot) -> tuple[Hands, ...]:
    """Whose day it is: for the class, and for who is in charge of it."""
    who = visitor()
    if not who.sees_pupils:
        return ()
    return rota.on_duty(session, snapshot.tank.id, snapshot.today, who.class_id)
