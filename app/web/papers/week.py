"""Papers beside the tank: wall chart, catch-up strip, flip card, substitute card."""

from dataclasses import dataclass
from datetime import date, timedelta

from flask import render_template
from flask.typing import ResponseReturnValue

from app.domain.calendar import somebody_comes
from app.domain.snapshot import TankSnapshot
from app.services import own_species
from app.services.papers import cards
from app.services.papers import wall_chart as chart_service
from app.services.papers import week as week_service
from app.services.papers.cards import SubstituteCard
from app.services.papers.wall_chart import WallChart
from app.services.papers.week import DAYS, WeekRow
from app.services.school import rota
from app.web.papers import bp
from app.web.papers.sheet import Sheet, day_asked, seen, sheet_of
from app.web.request import database

_LOOK_AHEAD = 21


@dataclass(frozen=True, slots=True, kw_only=True)
class WallPage:
    """The wall chart of a week, and the days of which another would be made."""

    sheet: Sheet
    chart: WallChart
    before: date
    after: date


@dataclass(frozen=True, slots=True, kw_only=True)
class StripPage:
    """Two strips, one a week; what they are typed in with: °C or °F, L or US gal."""

    sheet: Sheet
    weeks: tuple[tuple[WeekRow, ...], ...]
    first: date
    warmth_unit: str
    water_unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FlipPage:
    """Both sides of the card."""

    sheet: Sheet
    portion: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SubstitutePage:
    """The card of one day."""

    sheet: Sheet
    card: SubstituteCard
    food: str
    counting: str


def _first_asked(snapshot: TankSnapshot) -> date:
    """The Monday of the week that the address names, or of the week that runs or comes next.

    From Friday on a chart is made for the week after.
    """
    ahead = snapshot.today + timedelta(days=3)
    return rota.monday_of(day_asked("week", ahead))


@bp.get("/tank/<int:tank_id>/papers/wall-chart")
def wall_chart(tank_id: int) -> ResponseReturnValue:
    """A week to fill in by hand."""
    with database().reading() as session:
        snapshot = seen(session, tank_id)
        first = _first_asked(snapshot)
        known = own_species.known(session, snapshot.site.id)
        chart = chart_service.wall_chart(session, snapshot, known, first)
    days = timedelta(days=DAYS)
    page = WallPage(sheet=sheet_of(snapshot), chart=chart, before=first - days, after=first + days)
    return render_template("papers/wall_chart.html", page=page)


@bp.get("/tank/<int:tank_id>/papers/strip")
def strip(tank_id: int) -> ResponseReturnValue:
    """Two weeks to write down on paper, in the order of the page where they are typed in."""
    with database().reading() as session:
        snapshot = seen(session, tank_id)
        first = _first_asked(snapshot)
        weeks = tuple(
            week_service.week(session, snapshot, first + timedelta(days=DAYS * at))
            for at in range(2)
        )
    site = snapshot.site
    page = StripPage(
        sheet=sheet_of(snapshot),
        weeks=weeks,
        first=first,
        warmth_unit="°F" if site.fahrenheit else "°C",
        water_unit="US gal" if site.us_gallons else "L",
    )
    return render_template("papers/strip.html", page=page)


@bp.get("/tank/<int:tank_id>/papers/flip-card")
def flip_card(tank_id: int) -> ResponseReturnValue:
    """FED on one side, NOT FED on the other."""
    with database().reading() as session:
        snapshot = seen(session, tank_id)
    page = FlipPage(sheet=sheet_of(snapshot), portion=cards.flip_card(snapshot).portion)
    return render_template("papers/flip_card.html", page=page)


@bp.get("/tank/<int:tank_id>/papers/substitute")
def substitute_card(tank_id: int) -> ResponseReturnValue:
    """What somebody who does not know the tank does on one day."""
    with database().reading() as session:
        snapshot = seen(session, tank_id)
        known = own_species.known(session, snapshot.site.id)
    card = cards.substitute_card(snapshot, known, day_asked("day", _next_day(snapshot)))
    page = SubstitutePage(
        sheet=sheet_of(snapshot),
        card=card,
        food=cards.food_words(card),
        counting=cards.count_words(card),
    )
    return render_template("papers/substitute.html", page=page)


def _next_day(snapshot: TankSnapshot) -> date:
    """The next day on which somebody is meant to come."""
    days = (snapshot.today + timedelta(days=ahead) for ahead in range(_LOOK_AHEAD))
    return next((day for day in days if somebody_comes(snapshot.site, day)), snapshot.today)
