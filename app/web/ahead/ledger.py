"""The ledger of forecasts: what was expected, what was measured, how well it did."""

from dataclasses import dataclass

from flask import render_template, url_for
from flask.typing import ResponseReturnValue

from app.knowledge.load import load
from app.services.ahead import ledger
from app.services.ahead.ledger_shown import (
    SOURCES,
    ForecastShown,
    LedgerShown,
    forecast_shown,
    ledgers_shown,
)
from app.web.ahead import bp
from app.web.ahead.shown import InputShown, input_shown
from app.web.request import database, now
from app.web.rights import may_open
from app.web.writing.desk import at_desk


@dataclass(frozen=True, slots=True, kw_only=True)
class LedgerPage:
    """The ledgers of all quantities; `doors` are words and addresses of what would help."""

    tank_id: int
    ledgers: tuple[LedgerShown, ...]
    sources: tuple[str, ...]
    doors: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ForecastPage:
    """One forecast with what it rested on."""

    tank_id: int
    shown: ForecastShown
    inputs: tuple[InputShown, ...]


@bp.get("/tank/<int:tank_id>/ahead/forecasts")
def forecasts(tank_id: int) -> ResponseReturnValue:
    """All forecasts of one tank."""
    at_desk(tank_id)
    ledger.keep(database(), tank_id, now=now())
    with database().reading() as session:
        found = ledgers_shown(session, tank_id, now=now())
    test = (("Write down a water test", url_for("writing.test", tank_id=tank_id)),)
    page = LedgerPage(
        tank_id=tank_id,
        ledgers=found,
        sources=tuple(load().sources[key].title for key in SOURCES),
        doors=(
            *(test if may_open("writing.test") else ()),
            ("Nitrate ahead", url_for("ahead.nitrate", tank_id=tank_id)),
            ("Sealed guesses", url_for("ahead.predictions", tank_id=tank_id)),
        ),
    )
    return render_template("ahead/forecasts.html", page=page)


@bp.get("/tank/<int:tank_id>/ahead/forecasts/<int:forecast_id>")
def kept_forecast(tank_id: int, forecast_id: int) -> ResponseReturnValue:
    """One forecast as it was made."""
    at_desk(tank_id)
    with database().reading() as session:
        found = forecast_shown(session, tank_id, forecast_id, now=now())
    page = ForecastPage(
        tank_id=tank_id,
        shown=found,
        inputs=tuple(input_shown(each, found.site, now()) for each in found.inputs),
    )
    return render_template("ahead/forecast.html", page=page)
