"""Oxygen by night: how low it falls, what it hangs on, and what would change it."""

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from flask import redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from markupsafe import Markup
from werkzeug.datastructures import MultiDict

from app.knowledge.load import load
from app.knowledge.model import Caution
from app.services import words
from app.services.ahead.oxygen import (
    OxygenAhead,
    asks_of,
    oxygen_ahead,
    sliders_of,
    what_if_of,
)
from app.web.ahead import bp
from app.web.ahead.shown import EstimateShown, shown
from app.web.request import now
from app.web.workings.form import WorkingForm, form_of, taken
from app.web.writing.desk import at_desk


@dataclass(frozen=True, slots=True, kw_only=True)
class OxygenPage:
    """The oxygen of a day; `tried` stands beside `lowest` where somebody tries something."""

    tank_id: int
    ahead: OxygenAhead
    lowest: EstimateShown
    tried: EstimateShown | None
    chart: Markup
    form: WorkingForm
    sliders: Mapping[str, tuple[str, ...]]
    cautions: tuple[Caution, ...]


@bp.get("/tank/<int:tank_id>/ahead/oxygen")
def oxygen(tank_id: int) -> ResponseReturnValue:
    """The oxygen of a day and a night; what is tried stands in the address, nothing is saved."""
    snapshot, knowledge = at_desk(tank_id).snapshot, load()
    as_it_is = oxygen_ahead(snapshot, knowledge)
    asks, address = asks_of(snapshot, as_it_is.as_it_is), MultiDict(request.args)
    if (changed := taken(asks, address)) is not None:
        url = url_for("ahead.oxygen", tank_id=tank_id)
        return redirect(f"{url}?{urlencode(list(changed.items()))}", 303)
    form, came = form_of(asks, address, snapshot, knowledge)
    given = form.given() if came else None
    ahead = as_it_is if given is None else oxygen_ahead(snapshot, knowledge, what_if_of(given))
    page = OxygenPage(
        tank_id=tank_id,
        ahead=ahead,
        lowest=shown(ahead.as_it_is.estimate, snapshot.site, now()),
        tried=shown(ahead.tried.estimate, snapshot.site, now()) if ahead.tried else None,
        chart=Markup(ahead.svg),  # noqa: S704  # drawn and cleaned by the charts themselves
        form=form,
        sliders=sliders_of(snapshot, ahead.as_it_is),
        cautions=words.cautions(("electricity",)),
    )
    return render_template("ahead/oxygen.html", page=page), 422 if came and given is None else 200
