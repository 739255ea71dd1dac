"""What changed before a problem: what came before it, and how often the same came calmly."""

from dataclasses import dataclass
from datetime import date, datetime

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue
from wtforms import Form
from wtforms.validators import Optional

from app.domain.calendar import local_day
from app.domain.happenings import Event, Lead, Problem
from app.domain.tank import Site
from app.domain.wording import count, dated, day_text, when_text
from app.knowledge.load import load
from app.services.ahead.detective import Case, sums, what_changed
from app.services.workings.model import Sum
from app.web.ahead import bp
from app.web.fields import DayField
from app.web.request import database, now
from app.web.writing.desk import at_desk


class DayForm(Form):
    """The day of the problem."""

    at = DayField("The day of the problem", [Optional()])


@dataclass(frozen=True, slots=True, kw_only=True)
class EventShown:
    """One event; `url` opens its entry, "" where none tells of it."""

    when: str
    words: str
    url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadShown:
    """One kind of event before the problem, with what came of it earlier, in a sentence."""

    title: str
    events: tuple[EventShown, ...]
    before: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WhatChangedPage:
    """The problem in words ("" for none), what came before it, and other problems by their day."""

    problem: str
    since: str
    days: int
    url: str
    leads: tuple[LeadShown, ...]
    others: tuple[tuple[str, str], ...]
    sums: tuple[Sum, ...]
    form: DayForm


@bp.get("/tank/<int:tank_id>/ahead/what-changed")
def what_changed_before(tank_id: int) -> ResponseReturnValue:
    """What came before the newest problem of one tank, or before a day."""
    snapshot = at_desk(tank_id).snapshot
    form = DayForm(request.args)
    fits = form.validate()
    today = local_day(now(), snapshot.site.zone)
    if fits and form.at.data is not None and form.at.data > today:
        form.at.errors = ["This day has not come yet."]
        fits = False
    on = form.at.data if fits else None
    with database().reading() as session:
        case = what_changed(session, snapshot, load(), on=on)
    page = _page(case, form, on, tank_id, snapshot.site)
    return render_template("ahead/what_changed.html", tank_id=tank_id, page=page), (
        200 if fits else 422
    )


def _page(case: Case, form: DayForm, on: date | None, tank_id: int, site: Site) -> WhatChangedPage:
    problem, moment = case.problem, now()
    said = since = url = ""
    if problem is not None:
        since = when_text(problem.at, site.zone, moment)
        said = f"{problem.words}, {since}" if problem.words else ""
        url = _url(problem.entry_id, tank_id)
        if on is not None and not problem.words:
            since = f"the end of {dated(on)}"
    return WhatChangedPage(
        problem=said,
        since=since,
        days=case.days,
        url=url,
        leads=tuple(_lead(lead, case.days, tank_id, site, moment) for lead in case.leads),
        others=tuple(_other(each, tank_id, site, moment) for each in case.others),
        sums=sums(case),
        form=form,
    )


def _lead(lead: Lead, days: int, tank_id: int, site: Site, moment: datetime) -> LeadShown:
    return LeadShown(
        title=lead.kind.value,
        events=tuple(_event(each, tank_id, site, moment) for each in reversed(lead.events)),
        before=before_words(lead, days),
    )


def before_words(lead: Lead, days: int) -> str:
    """How often the same came earlier, and how often nothing followed."""
    if not lead.earlier:
        return "It is the first time in this tank."
    after = f"in the {days} days after"
    if lead.calm == lead.earlier:
        calm = f"no problem was written {after}"
        return f"It came before {count(lead.earlier, 'time', 'times')}: {calm}."
    return (
        f"It came before {count(lead.earlier, 'time', 'times')}: "
        f"{count(lead.calm, 'time', 'times')} without a problem {after}."
    )


def _event(event: Event, tank_id: int, site: Site, moment: datetime) -> EventShown:
    if event.entry_id is None:
        when = day_text(local_day(event.at, site.zone), local_day(moment, site.zone))
    else:
        when = when_text(event.at, site.zone, moment)
    return EventShown(
        when=f"{when[:1].upper()}{when[1:]}",
        words=event.words,
        url=_url(event.entry_id, tank_id),
    )


def _other(problem: Problem, tank_id: int, site: Site, moment: datetime) -> tuple[str, str]:
    day = local_day(problem.at, site.zone)
    url = url_for("ahead.what_changed_before", tank_id=tank_id, at=day.isoformat())
    return f"{problem.words}, {when_text(problem.at, site.zone, moment)}", url


def _url(entry_id: int | None, tank_id: int) -> str:
    if entry_id is None:
        return ""
    return url_for("story.entry", tank_id=tank_id, entry_id=entry_id)
