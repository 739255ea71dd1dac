"""Papers for grown-ups: welfare record, risk sheet, transfer note, story of the year."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from markupsafe import Markup
from wtforms import StringField
from wtforms.validators import Length

from app.domain.snapshot import TankSnapshot
from app.knowledge.model import Caution
from app.services import own_species, words
from app.services.papers import risk as risk_service
from app.services.papers import texts
from app.services.papers import transfer as transfer_service
from app.services.papers import welfare as welfare_service
from app.services.papers import year as year_service
from app.services.papers.risk import RiskSheet
from app.services.papers.transfer import TransferNote
from app.services.papers.welfare import VET_CONTACT, WelfareRecord
from app.services.papers.year import YearStory
from app.services.trends import Chart
from app.web.fields import PageForm
from app.web.papers import bp
from app.web.papers.sheet import Sheet, day_asked, seen, sheet_of
from app.web.request import database, id_from

_LONGEST = 200
_YEAR = timedelta(days=365)


class VetContactForm(PageForm):
    """What no entry tells: when a veterinarian was last asked."""

    vet_contact = StringField(
        "Last contact with a veterinarian",
        [Length(max=_LONGEST, message=f"Use {_LONGEST} letters at most.")],
        description="When, why, and what was said, such as: 3 March 2027, white spots, by phone.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class WelfarePage:
    """The record with the titles of its sources, and the form for what it cannot know."""

    sheet: Sheet
    record: WelfareRecord
    sources: tuple[str, ...]
    form: VetContactForm


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskPage:
    """The sheet, and the place whose rules stand on it."""

    sheet: Sheet
    risk: RiskSheet
    place_id: int
    sources: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class TransferPage:
    """The note, with what must be known when animals leave."""

    sheet: Sheet
    note: TransferNote
    from_adult: str
    leaving: Caution


@dataclass(frozen=True, slots=True)
class YearChart:
    """A chart of the year with its words."""

    name: str
    svg: Markup
    finding: str
    keys: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class YearPage:
    """The story with its charts."""

    sheet: Sheet
    story: YearStory
    charts: tuple[YearChart, ...]


@bp.route("/tank/<int:tank_id>/papers/welfare", methods=["GET", "POST"])
def welfare(tank_id: int) -> ResponseReturnValue:
    """The five needs with evidence and gaps; keep what no entry tells."""
    with database().reading() as session:
        snapshot = seen(session, tank_id)
        known, own = own_species.known(session, snapshot.site.id), texts.of_tank(session, tank_id)
        record = welfare_service.welfare_record(session, snapshot, known, own)
    form = VetContactForm(data={"vet_contact": own.get(VET_CONTACT, "")})
    if form.validate_on_submit():
        with database().writing() as session:
            texts.keep_of_tank(session, tank_id, {VET_CONTACT: form.text("vet_contact")})
        flash("The contact is saved.", "saved")
        return redirect(url_for("papers.welfare", tank_id=tank_id), 303)
    page = WelfarePage(
        sheet=sheet_of(snapshot),
        record=record,
        sources=_titles(welfare_service.SOURCES),
        form=form,
    )
    return render_template("papers/welfare.html", page=page), _status(form)


@bp.get("/tank/<int:tank_id>/papers/risk")
def risk(tank_id: int) -> ResponseReturnValue:
    """Usual cautions with the own rules of the place."""
    with database().reading() as session:
        snapshot = seen(session, tank_id)
        known = own_species.known(session, snapshot.site.id)
        rules = texts.of_site(session, snapshot.site.id)
    found = risk_service.risk_sheet(snapshot, known, rules)
    keys = {c.source for hazard in found.hazards for c in hazard.cautions if c.source}
    page = RiskPage(
        sheet=sheet_of(snapshot),
        risk=found,
        place_id=snapshot.site.id,
        sources={key: title for key in sorted(keys) for title in _titles((key,))},
    )
    return render_template("papers/risk.html", page=page)


@bp.get("/tank/<int:tank_id>/papers/transfer")
def transfer(tank_id: int) -> ResponseReturnValue:
    """Which animals go to a new keeper, and the water they are used to."""
    with database().reading() as session:
        snapshot = seen(session, tank_id)
    note = transfer_service.transfer_note(snapshot, _going(snapshot), _pieces())
    page = TransferPage(
        sheet=sheet_of(snapshot),
        note=note,
        from_adult=snapshot.tank.adult,
        leaving=words.cautions(("leaving",))[0],
    )
    return render_template("papers/transfer.html", page=page)


def _going(snapshot: TankSnapshot) -> dict[int, int]:
    """How many of each group go, as far as the address says."""
    typed = {group.id: request.args.get(f"group-{group.id}", "") for group in snapshot.groups}
    read = {group_id: id_from(text.strip()) for group_id, text in typed.items()}
    return {group_id: number for group_id, number in read.items() if number is not None}


def _pieces() -> frozenset[int]:
    found = (id_from(text) for text in request.args.getlist("piece"))
    return frozenset(each for each in found if each is not None)


@bp.get("/tank/<int:tank_id>/papers/year")
def year(tank_id: int) -> ResponseReturnValue:
    """The story from a day on; by default of a year, or since the tank was started."""
    with database().reading() as session:
        snapshot = seen(session, tank_id)
        first = min(day_asked("since", _year_ago(snapshot)), snapshot.today)
        story = year_service.year_story(session, snapshot, first)
    charts = tuple(_chart(each) for each in story.charts)
    page = YearPage(sheet=sheet_of(snapshot), story=story, charts=charts)
    return render_template("papers/year.html", page=page)


def _year_ago(snapshot: TankSnapshot) -> date:
    ago, started = snapshot.today - _YEAR, snapshot.tank.started_on
    return max(ago, started) if started and started <= snapshot.today else ago


def _chart(drawn: tuple[str, Chart]) -> YearChart:
    heading, chart = drawn
    return YearChart(
        heading,
        Markup(chart.svg),  # noqa: S704  # drawn and cleaned by the charts themselves
        year_service.in_short(chart.words.finding),
        chart.words.keys,
    )


def _titles(keys: tuple[str, ...]) -> tuple[str, ...]:
    found = (words.source_named(key) for key in keys)
    return tuple(source.title for source in found if source)


def _status(form: PageForm) -> int:
    return 422 if form.is_submitted() else 200
