"""The chart of one quantity; an unchanged one is answered with 304."""

import hashlib

from flask import make_response, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from markupsafe import Markup

from app import __version__
from app.domain.errors import NotFound
from app.domain.quantities import Quantity
from app.services import trends
from app.web.charts import bp
from app.web.charts.pages import FIRST_SPAN, SPANS, chart_page
from app.web.request import database, now, show_state, standing, visitor


@bp.get("/tank/<int:tank_id>/charts")
def start(tank_id: int) -> ResponseReturnValue:
    """On to the chart that was chosen, or to the first there is something to draw of."""
    with database().reading() as session:
        measured = trends.measured(session, tank_id)
    first = measured[0] if measured else Quantity.TEMPERATURE
    what = request.args.get("what", first.value)
    days = request.args.get("days", FIRST_SPAN)
    return redirect(url_for("charts.chart", tank_id=tank_id, quantity=what, days=days), code=303)


@bp.get("/tank/<int:tank_id>/charts/<quantity>")
def chart(tank_id: int, quantity: str) -> ResponseReturnValue:
    """One quantity over the last days."""
    days = request.args.get("days", FIRST_SPAN)
    if days not in SPANS or quantity not in set(Quantity):
        raise NotFound("There is no such chart.")
    what = Quantity(quantity)
    seen = standing(tank_id)
    with database().reading() as session:
        drawn = trends.etag(session, tank_id, what, SPANS[days], now())
        tag = _tag(drawn, *((seen.state.value, seen.state_line) if seen else ()))
        answer = make_response()
        if not request.if_none_match.contains(tag):
            show_state(lambda: seen)
            made = trends.chart(session, tank_id, what, SPANS[days], now=now())
            measured = trends.measured(session, tank_id)
            page = chart_page(tank_id, what, days, chart=made, measured=measured)
            svg = Markup(page.svg)  # noqa: S704  # drawn and cleaned by the charts themselves
            answer = make_response(render_template("charts/chart.html", page=page, svg=svg))
    answer.set_etag(tag)
    return answer.make_conditional(request)


def _tag(*parts: str) -> str:
    """What changes when any part of the page does."""
    named = "|".join((__version__, visitor().role, *parts))
    return hashlib.sha256(named.encode()).hexdigest()[:32]
