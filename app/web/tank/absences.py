"""Coming breaks of one tank: who comes, and on which days."""

from dataclasses import dataclass
from datetime import date

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import HiddenField, StringField
from wtforms.validators import Length

from app.domain.errors import NotFound, Refused
from app.domain.tank import Tank
from app.services import absences, tasks
from app.services.absences import ComingBreak
from app.web.fields import PageForm
from app.web.request import database, now, show_state, stamp_now
from app.web.tank import bp

_LONGEST = 400


class VisitsForm(PageForm):
    """Who comes in one break."""

    first_day = HiddenField("Break")
    who = StringField(
        "Who comes, and on which days",
        [Length(max=_LONGEST, message=f"Use {_LONGEST} letters at most.")],
        description="Such as: the neighbor, every third day, with packets 1 to 5.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class AbsencesPage:
    """The coming breaks with a form for the first that nobody arranged yet."""

    tank: Tank
    breaks: tuple[ComingBreak, ...]
    next_one: ComingBreak | None
    form: VisitsForm
    today: date


@bp.route("/tank/<int:tank_id>/breaks", methods=["GET", "POST"])
def breaks(tank_id: int) -> ResponseReturnValue:
    """The coming breaks; say of one who comes."""
    with database().reading() as session:
        snapshot, seen = tasks.look(session, [tank_id], now=now())[tank_id]
    show_state(seen)
    coming = absences.coming(snapshot)
    form = VisitsForm()
    if form.is_submitted() and form.validate():
        away = next((c.away for c in coming if str(c.away.first_day) == form.first_day.data), None)
        if away is None:
            raise NotFound("This break is over, or it was taken out of the settings.")
        stamp = stamp_now(tank_id, form.once)
        try:
            with database().writing() as session:
                absences.arrange(session, stamp, away, form.text("who"), now=now())
        except Refused as refused:
            form.complain("who", str(refused))
        else:
            flash("Written down: who comes in the break.", "saved")
            return redirect(url_for("tank.breaks", tank_id=tank_id), 303)
    page = AbsencesPage(
        tank=snapshot.tank,
        breaks=coming,
        next_one=next((c for c in coming if c.arranged is None), None),
        form=form,
        today=snapshot.today,
    )
    return render_template("tank/breaks.html", page=page), 422 if form.is_submitted() else 200
