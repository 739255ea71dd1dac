"""Warmth: the heater in the coldest hour, what a cover saves, and what a year costs."""

from dataclasses import dataclass
from urllib.parse import urlencode

from flask import redirect, render_template, request
from flask.typing import ResponseReturnValue
from werkzeug.datastructures import MultiDict

from app.domain.tank import Tank
from app.estimates.warmth import warmth as estimate_warmth
from app.knowledge.load import load
from app.knowledge.model import Caution
from app.services.ahead import warmth as told
from app.services.workings.model import Sum
from app.web.ahead import bp
from app.web.ahead.shown import EstimateShown, shown
from app.web.request import now
from app.web.workings.form import WorkingForm, form_of, taken
from app.web.writing.desk import at_desk

CAUTIONS = ("heater", "electricity")
SOURCES = ("iso-6946", "smith-1998")


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmthPage:
    """The estimate, its working, and the form with other numbers; `said` are sentences."""

    tank: Tank
    holding: EstimateShown
    heater: str
    said: tuple[str, ...]
    sums: tuple[Sum, ...]
    form: WorkingForm
    cautions: tuple[Caution, ...]
    sources: tuple[str, ...]


@bp.get("/tank/<int:tank_id>/ahead/warmth")
def warmth(tank_id: int) -> ResponseReturnValue:
    """What holds the warmth of one tank."""
    address = MultiDict(request.args)
    if (changed := taken(told.QUESTIONS, address)) is not None:
        return redirect(f"{request.path}?{urlencode(list(changed.items()))}", 303)
    snapshot, knowledge = at_desk(tank_id).snapshot, load()
    form, came = form_of(told.QUESTIONS, address, snapshot, knowledge)
    given = form.given() if came else None
    tried = None if given is None else told.tried_of(given)
    found = estimate_warmth(snapshot, knowledge, tried)
    site = snapshot.site
    pair = found.loss.pair if found.loss else None
    said = (
        told.pair_text(pair, site, knowledge) if pair else "",
        told.cover_text(found, site),
        told.year_text(found, site),
    )
    page = WarmthPage(
        tank=snapshot.tank,
        holding=shown(found.holding, site, now()),
        heater=told.heater_text(found, site),
        said=tuple(text for text in said if text),
        sums=told.sums_of(found, site, knowledge),
        form=form,
        cautions=tuple(knowledge.cautions[key] for key in CAUTIONS),
        sources=tuple(knowledge.sources[key].title for key in SOURCES),
    )
    status = 422 if came and given is None else 200
    return render_template("ahead/warmth.html", page=page), status
