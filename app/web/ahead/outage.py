"""When the power, the filter or the heater stops: how long it lasts, and what to do first."""

from dataclasses import dataclass
from datetime import date
from urllib.parse import urlencode

from flask import redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.datastructures import MultiDict

from app.domain.tank import Tank
from app.domain.wording import clock
from app.knowledge.load import load
from app.knowledge.model import Caution
from app.services import words
from app.services.ahead.outage import ASKS, Outage, outage, situation_of
from app.web.ahead import bp
from app.web.ahead.shown import InputShown, input_shown
from app.web.request import now
from app.web.workings.form import WorkingForm, form_of, taken
from app.web.writing.desk import at_desk


@dataclass(frozen=True, slots=True, kw_only=True)
class OutagePage:
    """The sheet for an outage of `day` at `clock`, and the form for what somebody measures now."""

    tank: Tank
    day: date
    clock: str
    found: Outage
    inputs: tuple[InputShown, ...]
    form: WorkingForm
    electricity: Caution
    filter: Caution
    heater: Caution


@bp.get("/tank/<int:tank_id>/ahead/outage")
def outage_coach(tank_id: int) -> ResponseReturnValue:
    """Hours and first steps; what was typed stands in the address, nothing is saved."""
    snapshot, knowledge = at_desk(tank_id).snapshot, load()
    address = MultiDict(request.args)
    if (changed := taken(ASKS, address)) is not None:
        url = url_for("ahead.outage_coach", tank_id=tank_id)
        return redirect(f"{url}?{urlencode(list(changed.items()))}", 303)
    form, came = form_of(ASKS, address, snapshot, knowledge)
    given = form.given() if came else None
    found = outage(snapshot, knowledge, situation_of(given))
    electricity, of_filter, heater = words.cautions(("electricity", "filter", "heater"))
    page = OutagePage(
        tank=snapshot.tank,
        day=snapshot.today,
        clock=clock(now(), snapshot.site.zone),
        found=found,
        inputs=tuple(input_shown(each, snapshot.site, now()) for each in found.inputs),
        form=form,
        electricity=electricity,
        filter=of_filter,
        heater=heater,
    )
    return render_template("ahead/outage.html", page=page), 422 if came and given is None else 200
