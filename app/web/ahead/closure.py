"""A break rehearsed before it comes, and held against what it was like."""

from dataclasses import dataclass
from datetime import date, datetime
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from werkzeug.datastructures import MultiDict
from wtforms import Form, StringField
from wtforms.validators import Length

from app.domain.calendar import local_day, wall_time
from app.domain.errors import NotFound, Refused
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Site, Tank
from app.domain.wording import full_day, listed
from app.estimates.closure_model import FAILS, Away, Part, Trouble, moment_text
from app.knowledge.load import load
from app.knowledge.model import Caution
from app.rules.breaks import Stretch
from app.rules.rehearsal import TROUBLES
from app.services import absences
from app.services.ahead import closure as told
from app.services.ahead.closure import Closure, ReadAfter
from app.services.ahead.closure_sums import sums_of
from app.services.workings.model import Sum
from app.web.ahead import bp
from app.web.ahead.shown import EstimateShown, shown
from app.web.fields import ChoiceField, MomentField, PageForm
from app.web.request import database, now, stamp_now
from app.web.workings.form import WorkingForm, form_of, taken
from app.web.writing.desk import at_desk

CAUTIONS = ("heater", "electricity", "untreated_water")
SOURCES = ("classroom-breaks", "smith-1998", "iso-6946", "timmons-ebeling-2013")
TITLES = {
    Trouble.FOOD: "Food",
    Trouble.LEVEL: "The water level",
    Trouble.WARMTH: "Warmth",
    Trouble.NITRATE: "Nitrate",
    Trouble.OXYGEN: "Oxygen by night",
}
_LONGEST = 400
_FORMATS = ["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M"]


class DaysForm(Form):
    """From when to when nobody is there, on the tank's wall clock."""

    leaves = MomentField("Leaving", format=_FORMATS)
    returns = MomentField("Back", format=_FORMATS)


class SeenToForm(PageForm):
    """What somebody arranged against one thing that would fail."""

    trouble = ChoiceField("What you saw to", noun="what you saw to")
    how = StringField(
        "What is arranged",
        [Length(max=_LONGEST, message=f"Use {_LONGEST} letters at most.")],
        description="Such as: the neighbor tops up on 28 December.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class PartShown:
    """One part: its estimate; `what` would fail; when, what helps and what is arranged, or ""."""

    title: str
    what: str
    estimate: EstimateShown
    fails: bool
    when: str
    help: str
    arranged: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosurePage:
    """A break, what would fail in it, and the form with other numbers.

    `parts` is () where the days that were typed cannot be. `seen_to` is the form for what would
    fail, None where nothing is to be ticked off.
    """

    tank: Tank
    title: str
    first_day: str
    span: str
    others: tuple[tuple[str, str], ...]
    parts: tuple[PartShown, ...]
    failing: tuple[PartShown, ...]
    lapsing: str
    short: tuple[str, ...]
    compared: tuple[ReadAfter, ...]
    sums: tuple[Sum, ...]
    days: DaysForm
    form: WorkingForm
    seen_to: SeenToForm | None
    cautions: tuple[Caution, ...]
    sources: tuple[str, ...]


@bp.get("/tank/<int:tank_id>/ahead/break")
@bp.get("/tank/<int:tank_id>/ahead/break/<first_day>")
def closure(tank_id: int, first_day: str = "") -> ResponseReturnValue:
    """The rehearsal of the next break, or of the one that begins on a day."""
    return _shown(tank_id, first_day, None)


@bp.post("/tank/<int:tank_id>/ahead/break/<first_day>")
def seen_to(tank_id: int, first_day: str) -> ResponseReturnValue:
    """Write down what was arranged against something that would fail."""
    form = SeenToForm()
    stretch = _stretch(at_desk(tank_id).snapshot, first_day)
    if stretch is None:
        raise NotFound("This break was taken out of the settings.")
    form.trouble.choices = _choices(TROUBLES)
    if not form.validate():
        return _shown(tank_id, first_day, form)
    try:
        with database().writing() as session:
            absences.see_to(
                session,
                stamp_now(tank_id, form.once),
                stretch.away,
                Trouble(form.trouble.data),
                form.text("how"),
                now=now(),
            )
    except Refused as refused:
        form.complain("how", str(refused))
        return _shown(tank_id, first_day, form)
    flash("Written down: what is arranged for the break.", "saved")
    return redirect(url_for("ahead.closure", tank_id=tank_id, first_day=first_day), 303)


def _shown(tank_id: int, first_day: str, posted: SeenToForm | None) -> ResponseReturnValue:
    snapshot, knowledge = at_desk(tank_id).snapshot, load()
    stretch = _stretch(snapshot, first_day)
    plan = told.planned(stretch, snapshot, knowledge)
    asks, address = told.questions(plan), MultiDict(request.args)
    if (changed := taken(asks, address)) is not None:
        return redirect(f"{request.path}?{urlencode(list(changed.items()))}", 303)
    form, came = form_of(asks, address, snapshot, knowledge)
    days = _days_form(plan, snapshot.site, address)
    away = _away(plan, form, days, snapshot.site) if came else plan
    if away is not None and (sentence := told.too_long(away, knowledge)):
        days.returns.errors, away = [sentence], None
    if away is not None and (away.leaves, away.returns) != (plan.leaves, plan.returns):
        stretch = None  # other days than those of the break
    found = None
    if away is not None:
        with database().reading() as session:
            found = told.rehearsed(session, snapshot, away, stretch, knowledge, now=now())
    page = _page(found, stretch, snapshot, days=days, form=form, posted=posted)
    wrong = found is None or posted is not None
    return render_template("ahead/closure.html", page=page), 422 if wrong else 200


def _stretch(snapshot: TankSnapshot, first_day: str) -> Stretch | None:
    """The break that the address names.

    Raises:
        NotFound: If it names one that is not there.
    """
    try:
        day = date.fromisoformat(first_day) if first_day else None
    except ValueError:
        raise NotFound("There is no such break.") from None
    stretch = told.chosen(snapshot, day)
    if day is not None and stretch is None:
        raise NotFound("This break was taken out of the settings.")
    return stretch


def _days_form(plan: Away, site: Site, address: MultiDict[str, str]) -> DaysForm:
    zone = ZoneInfo(site.zone)
    usual = {
        name: moment.astimezone(zone).replace(tzinfo=None, second=0, microsecond=0)
        for name, moment in (("leaves", plan.leaves), ("returns", plan.returns))
    }
    form = DaysForm(address if "leaves" in address or "returns" in address else None, data=usual)
    form.validate()
    return form


def _away(plan: Away, form: WorkingForm, days: DaysForm, site: Site) -> Away | None:
    """What was typed, or None with sentences beside the fields."""
    given = form.given()
    moments: dict[str, datetime] = {}
    for field in (days.leaves, days.returns):
        if field.data is None:
            field.errors = [*field.errors] or ["Enter day and time."]
            continue
        try:
            moments[field.name] = wall_time(field.data, site.zone)
        except ValueError as refused:
            field.errors = [str(refused)]
    if given is None or len(moments) < 2:
        return None
    if moments["returns"] <= moments["leaves"]:
        days.returns.errors = ["Coming back is after leaving."]
        return None
    return told.with_given(
        Away(leaves=moments["leaves"], returns=moments["returns"], visits=plan.visits), given
    )


def _page(
    found: Closure | None,
    stretch: Stretch | None,
    snapshot: TankSnapshot,
    *,
    days: DaysForm,
    form: WorkingForm,
    posted: SeenToForm | None,
) -> ClosurePage:
    knowledge, site = load(), snapshot.site
    rehearsed = found.rehearsal if found else None
    arranged = {} if found is None else found.arranged
    parts: tuple[PartShown, ...] = ()
    failing: tuple[PartShown, ...] = ()
    if rehearsed is not None:
        parts, failing = (
            tuple(_part(p, rehearsed.away, arranged.get(p.trouble, ""), site) for p in some)
            for some in (rehearsed.parts, rehearsed.failing)
        )
    return ClosurePage(
        tank=snapshot.tank,
        title=_title(stretch),
        first_day=stretch.away.first_day.isoformat() if stretch else "",
        span="" if found is None else told.span_text(found.away, site),
        others=_others(stretch, snapshot),
        parts=parts,
        failing=failing,
        lapsing="" if found is None else listed([row.label for row in found.lapsing]),
        short=() if found is None else found.short,
        compared=() if found is None else found.compared,
        sums=() if found is None else sums_of(found.rehearsal, site),
        days=days,
        form=form,
        seen_to=posted or _seen_to(found, stretch),
        cautions=tuple(knowledge.cautions[key] for key in CAUTIONS),
        sources=tuple(knowledge.sources[key].title for key in SOURCES),
    )


def _part(part: Part, away: Away, arranged: str, site: Site) -> PartShown:
    when = moment_text(part, away, site.zone)
    if part.may_fail and part.first is not None:
        when = f"{full_day(local_day(part.first, site.zone))}, only if all goes badly"
    return PartShown(
        title=TITLES[part.trouble],
        what=FAILS[part.trouble],
        estimate=shown(part.estimate, site, now()),
        fails=part.fails,
        when=when,
        help=part.help if part.fails else "",
        arranged=arranged,
    )


def _title(stretch: Stretch | None) -> str:
    if stretch is None:
        return "Days without people"
    return stretch.away.name or "The break"


def _others(stretch: Stretch | None, snapshot: TankSnapshot) -> tuple[tuple[str, str], ...]:
    return tuple(
        (_title(each), each.away.first_day.isoformat())
        for each in told.stretches(snapshot)
        if stretch is None or each.first_day != stretch.first_day
    )


def _choices(troubles: tuple[Trouble, ...]) -> dict[str, str]:
    return {each.value: TITLES[each] for each in troubles}


def _seen_to(found: Closure | None, stretch: Stretch | None) -> SeenToForm | None:
    if found is None or stretch is None or found.away.leaves <= now():
        return None
    failing = tuple(
        part.trouble
        for part in found.rehearsal.failing
        if part.trouble in TROUBLES and part.trouble not in found.arranged
    )
    if not failing:
        return None
    form = SeenToForm()
    form.trouble.choices = _choices(failing)
    return form
