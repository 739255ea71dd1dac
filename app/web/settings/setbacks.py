"""Hours in which the building of a place is heated less."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import BooleanField, SelectMultipleField
from wtforms.validators import InputRequired
from wtforms.widgets import CheckboxInput

from app.domain.errors import Refused
from app.domain.quantities import Quantity, Unit
from app.domain.tank import Setback, Site
from app.domain.wording import degrees, hour_text, listed
from app.services.school import setbacks as service
from app.services.school.setbacks import COLDEST_C, WARMEST_C
from app.web.fields import WEEKDAYS, NumberField, PageForm, TimeOfDayField, with_fields
from app.web.request import database
from app.web.settings import bp
from app.web.where import place_of_page

_A_MONDAY = date(2027, 2, 1)


class HoursForm(PageForm):
    """When the heating is down; the room then comes from `_form`."""

    weekdays = SelectMultipleField(
        "They begin on", choices=WEEKDAYS, option_widget=CheckboxInput(),
        description="An end before the start is on the next day. Friday to Monday: add the whole "
        "Saturday and Sunday as hours of their own, from 12:00 am to 12:00 am.",
    )  # fmt: skip
    starts = TimeOfDayField("From", [InputRequired("Enter when they begin.")])
    ends = TimeOfDayField("Until", [InputRequired("Enter when they end.")])
    while_away = BooleanField("The heating also stays down all day while nobody comes")


@dataclass(frozen=True, slots=True, kw_only=True)
class SetbacksPage:
    """What is written, as (id, words), and the form for more; `unit` is of its temperature."""

    form: Any
    hours: tuple[tuple[int, str], ...]
    unit: str


@bp.route("/settings/heating", methods=["GET", "POST"])
def setbacks() -> ResponseReturnValue:
    """Show the hours with less heating; add some."""
    with database().reading() as session:
        place = place_of_page(session)
    unit = place.unit_of(Quantity.TEMPERATURE)
    form = _form(unit)
    if form.validate_on_submit():
        try:
            with database().writing() as session:
                service.add(session, place.id, _hours(form, unit))
        except Refused as refused:
            form.complain("weekdays", str(refused))
        else:
            flash("The hours are saved.", "saved")
            return redirect(url_for("settings.setbacks"), 303)
    with database().reading() as session:
        known = service.written(session, place.id)
    page = SetbacksPage(
        form=form,
        hours=tuple((each.id, hours_text(each.hours, place)) for each in known),
        unit=unit.symbol,
    )
    status = 422 if form.is_submitted() else 200
    return render_template("settings/setbacks.html", page=page), status


@bp.post("/settings/heating/<int:setback_id>/strike")
def strike_setback(setback_id: int) -> ResponseReturnValue:
    """Strike hours with less heating."""
    with database().writing() as session:
        service.strike(session, place_of_page(session).id, setback_id)
    flash("The hours are struck.", "saved")
    return redirect(url_for("settings.setbacks"), 303)


def hours_text(hours: Setback, site: Site) -> str:
    """Hours with less heating in words: "Monday to Friday, 5:00 pm to 6:00 am next day, 12 °C"."""
    starts, ends = (hour_text(t.hour + t.minute / 60.0) for t in (hours.starts, hours.ends))
    over = " the next day" if hours.ends <= hours.starts else ""
    room = "how cold is not written" if hours.room_c is None else degrees(site, hours.room_c)
    parts = [f"{_days_text(hours.weekdays)}, {starts} to {ends}{over}"] if hours.weekdays else []
    parts += ["all day while nobody comes"] if hours.while_away else []
    text = "; ".join([*parts, f"the room then: {room}"])
    return f"{text[0].upper()}{text[1:]}"


def _days_text(weekdays: frozenset[int]) -> str:
    names = [f"{_A_MONDAY + timedelta(days=day):%A}" for day in sorted(weekdays)]
    in_a_row = sorted(weekdays) == list(range(min(weekdays), max(weekdays) + 1))
    return f"{names[0]} to {names[-1]}" if in_a_row and len(names) > 2 else listed(names)


def _form(unit: Unit) -> Any:
    """The form with the room's temperature in the unit that the site reads."""
    low, high = (round(unit.from_kept(end), 1) for end in (COLDEST_C, WARMEST_C))
    room = NumberField(
        "The room then", noun=f"how cold the room gets in {unit.symbol}", low=low, high=high,
        description="A thermometer beside the tank tells, read early in the coldest weeks. "
        "Empty: nobody looked.",
    )  # fmt: skip
    return with_fields(HoursForm, "HeatingForm", {"room": room})()


def _hours(form: Any, unit: Unit) -> Setback:
    typed = form.room.number
    return Setback(
        weekdays=frozenset(int(day) for day in form.weekdays.data or ()),
        starts=form.starts.data,
        ends=form.ends.data,
        room_c=None if typed is None else round(unit.to_kept(typed), 3),
        while_away=form.while_away.data,
    )
