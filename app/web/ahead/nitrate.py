"""Nitrate ahead: when it reaches the line, what the next change must be, where it settles."""

from dataclasses import dataclass

from flask import render_template, url_for
from flask.typing import ResponseReturnValue
from markupsafe import Markup

from app.charts.describe import ChartWords
from app.domain.quantities import Quantity
from app.knowledge.load import load
from app.knowledge.model import Caution
from app.services import trends
from app.services.ahead.kh import KhShown, kh_shown
from app.services.ahead.nitrate import SOURCES, NitrateAhead, nitrate_ahead
from app.web.ahead import bp
from app.web.ahead.shown import EstimateShown, shown
from app.web.request import database, now
from app.web.rights import may_open
from app.web.writing.desk import at_desk

_BACK_DAYS = 30
_CAUTIONS = ("water_change", "test_kits")


@dataclass(frozen=True, slots=True, kw_only=True)
class NitratePage:
    """Both estimates with facts and workings, the chart, and the pages that would narrow it.

    `chart` is None where there is nothing to draw; `doors` are words and addresses.
    """

    nitrate: NitrateAhead
    kh: KhShown
    crossing: EstimateShown
    kh_left: EstimateShown
    chart: ChartWords | None
    svg: Markup
    sources: tuple[str, ...]
    cautions: tuple[Caution, ...]
    doors: tuple[tuple[str, str], ...]


@bp.get("/tank/<int:tank_id>/ahead/nitrate")
def nitrate(tank_id: int) -> ResponseReturnValue:
    """The forecast of one tank."""
    snapshot, knowledge = at_desk(tank_id).snapshot, load()
    found, kh = nitrate_ahead(snapshot, knowledge), kh_shown(snapshot, knowledge)
    with database().reading() as session:
        drawn = trends.chart(session, tank_id, Quantity.NITRATE, _BACK_DAYS, now=now())
    page = NitratePage(
        nitrate=found,
        kh=kh,
        crossing=shown(found.forecast.crossing, snapshot.site, now()),
        kh_left=shown(kh.ahead.left, snapshot.site, now()),
        chart=drawn.words if drawn.words.ahead_rows else None,
        svg=Markup(drawn.svg),  # noqa: S704  # drawn and cleaned by the charts themselves
        sources=tuple(knowledge.sources[key].title for key in SOURCES),
        cautions=tuple(knowledge.cautions[key] for key in _CAUTIONS),
        doors=_doors(tank_id),
    )
    return render_template("ahead/nitrate.html", tank_id=tank_id, page=page)


def _doors(tank_id: int) -> tuple[tuple[str, str], ...]:
    """Pages that would narrow it."""
    test = (("Write down a water test", url_for("writing.test", tank_id=tank_id)),)
    return (
        *(test if may_open("writing.test") else ()),
        ("Weigh the scoop", url_for("tank.scoop", tank_id=tank_id)),
        ("The tap water’s own values", url_for("settings.tap")),
        ("Change the plan", url_for("tank.plan", tank_id=tank_id)),
    )
