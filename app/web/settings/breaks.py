"""Days out of the ordinary at a place: breaks, holidays and staff days, written by hand."""

from dataclasses import dataclass
from typing import Any, Final

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session
from wtforms import StringField
from wtforms.validators import InputRequired, Length

from app.domain.calendar import local_day
from app.domain.errors import Refused
from app.domain.tank import DayKind, Site
from app.services.school import school_days
from app.services.school.school_days import WrittenDays
from app.web.fields import ChoiceField, DayField, PageForm
from app.web.request import database, now
from app.web.settings import bp
from app.web.where import place_of_page

KINDS: Final = {
    DayKind.BREAK.value: "Break: nobody comes",
    DayKind.HOLIDAY.value: "Holiday: nobody comes",
    DayKind.STAFF.value: "Staff day: the adults come, the pupils do not",
}
KIND_WORDS: Final = {
    DayKind.BREAK: "Break",
    DayKind.HOLIDAY: "Holiday",
    DayKind.STAFF: "Staff day",
}


class DaysForm(PageForm):
    """Days in a row that are out of the ordinary."""

    kind = ChoiceField(
        "What are they", noun="what these days are", choices=KINDS, default=DayKind.BREAK.value
    )
    name = StringField("Name", [Length(max=80, message="Use 80 letters at most.")])
    first_day = DayField("First day", [InputRequired("Pick the first day.")])
    last_day = DayField("Last day", [InputRequired("Pick the last day.")])


@dataclass(frozen=True, slots=True, kw_only=True)
class BreaksPage:
    """The days ahead and those that are over, with the form for more."""

    form: Any
    ahead: tuple[WrittenDays, ...]
    over: tuple[WrittenDays, ...]
    kind_words: dict[DayKind, str]


@bp.route("/settings/breaks", methods=["GET", "POST"])
def breaks() -> ResponseReturnValue:
    """Show the days out of the ordinary; add some."""
    form = DaysForm()
    with database().reading() as session:
        place = place_of_page(session)
    first, last = form.first_day.data, form.last_day.data
    if form.validate_on_submit() and first and last:
        try:
            with database().writing() as session:
                kind = DayKind(form.kind.data)
                school_days.add(session, place.id, first, last, form.text("name"), kind=kind)
        except Refused as refused:
            form.complain("last_day", str(refused))
        else:
            flash("The days are saved.", "saved")
            return redirect(url_for("settings.breaks"), 303)
    with database().reading() as session:
        page = _page(session, place, form)
    return render_template("settings/breaks.html", page=page), 422 if form.is_submitted() else 200


@bp.post("/settings/breaks/<int:days_id>/strike")
def strike_days(days_id: int) -> ResponseReturnValue:
    """Strike days out of the ordinary."""
    with database().writing() as session:
        school_days.strike(session, place_of_page(session).id, days_id)
    flash("The days are struck.", "saved")
    return redirect(url_for("settings.breaks"), 303)


def _page(session: Session, place: Site, form: DaysForm) -> BreaksPage:
    known, today = school_days.written(session, place.id), local_day(now(), place.zone)
    return BreaksPage(
        form=form,
        ahead=tuple(days for days in known if days.last_day >= today),
        over=tuple(days for days in known if days.last_day < today),
        kind_words=KIND_WORDS,
    )
