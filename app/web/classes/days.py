"""The rota: plan a week, swap, keep, and print it as a strip."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import SelectField

from app.domain.errors import Refused
from app.domain.wording import count
from app.services.school import rota, tiles
from app.services.school.classes import Group
from app.services.school.rota import DutyDay
from app.web.classes import bp
from app.web.classes.reading import here
from app.web.fields import PageForm
from app.web.request import database


class PutOnForm(PageForm):
    """A tile that an adult puts on a day."""

    day = SelectField("Day")
    tile = SelectField("Tile")


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekPage:
    """The days of a week; `form` is None once it is over, or where the class has no tiles."""

    group: Group
    monday: date
    last_day: date
    today: date
    days: tuple[DutyDay, ...]
    form: Any


def _page(class_id: int, day: date, form: PutOnForm | None = None) -> WeekPage:
    place, monday = here(class_id), rota.monday_of(day)
    with database().reading() as session:
        days = rota.week(session, class_id, monday)
        there = [t for t in tiles.of_class(session, class_id) if t.is_there]
    form = form or PutOnForm(formdata=None)
    open_days = [each.day for each in days if each.day >= place.today]
    form.day.choices = [(d.isoformat(), f"{d:%A} {d.day} {d:%B}") for d in open_days]
    form.tile.choices = [(str(t.author_id), t.name) for t in there]
    return WeekPage(
        group=place.group,
        monday=monday,
        last_day=days[-1].day if days else monday + timedelta(days=6),
        today=place.today,
        days=days,
        form=form if open_days and there else None,
    )


@bp.get("/classes/<int:class_id>/week/<day:monday>")
def week(class_id: int, monday: date) -> ResponseReturnValue:
    """One week with all that can be changed in it."""
    return render_template("classes/week.html", page=_page(class_id, monday))


@bp.get("/classes/<int:class_id>/week/<day:monday>/strip")
def strip(class_id: int, monday: date) -> ResponseReturnValue:
    """The same week in one row, for the wall."""
    return render_template("classes/strip.html", page=_page(class_id, monday))


@bp.post("/classes/<int:class_id>/week/<day:monday>/plan")
def plan(class_id: int, monday: date) -> ResponseReturnValue:
    """Plan a week, or plan it anew."""
    place = here(class_id)
    try:
        with database().writing() as session:
            rota.plan_week(session, class_id, rota.monday_of(monday), today=place.today)
    except Refused as refused:
        flash(str(refused), "not-saved")
    else:
        flash("The week is planned: longest ago comes first.", "saved")
    return redirect(url_for("classes.one", class_id=class_id), 303)


@bp.post("/classes/<int:class_id>/week/<day:monday>/fill")
def fill(class_id: int, monday: date) -> ResponseReturnValue:
    """Fill the gaps of a week, and leave everybody else where they are."""
    place = here(class_id)
    try:
        with database().writing() as session:
            came = rota.fill_week(session, class_id, rota.monday_of(monday), today=place.today)
    except Refused as refused:
        flash(str(refused), "not-saved")
    else:
        flash(f"{count(came, 'gap is', 'gaps are')} filled: longest ago comes first.", "saved")
    return _back(class_id, monday)


@bp.post("/classes/<int:class_id>/week/<day:monday>/put-on")
def put_on(class_id: int, monday: date) -> ResponseReturnValue:
    """Put a tile on a day, and keep it there."""
    form = PutOnForm()
    page = _page(class_id, monday, form)
    if form.validate():
        try:
            with database().writing() as session:
                rota.put_on(
                    session,
                    class_id,
                    date.fromisoformat(form.day.data),
                    int(form.tile.data),
                    today=page.today,
                )
        except Refused as refused:
            form.complain("tile", str(refused))
        else:
            return _back(class_id, monday)
    return render_template("classes/week.html", page=page), 422


@bp.post("/classes/<int:class_id>/duty/<int:duty_id>/away/<int:author_id>")
def stand_in(class_id: int, duty_id: int, author_id: int) -> ResponseReturnValue:
    """This helper is not there: the next one stands in."""
    place = here(class_id)
    try:
        with database().writing() as session:
            name = rota.stand_in(session, class_id, duty_id, author_id, today=place.today)
    except Refused as refused:
        flash(str(refused), "not-saved")
    else:
        flash(f"{name} stands in. The other turn is kept for later.", "saved")
    return redirect(url_for("classes.one", class_id=class_id), 303)


@bp.post("/classes/<int:class_id>/week/<day:monday>/<int:duty_id>/swap-back")
def swap_back(class_id: int, monday: date, duty_id: int) -> ResponseReturnValue:
    """The helper comes after all."""
    today = here(class_id).today
    with database().writing() as session:
        rota.swap_back(session, class_id, duty_id, today=today)
    return _back(class_id, monday)


@bp.post("/classes/<int:class_id>/week/<day:monday>/<int:duty_id>/<any(keep,loose):how>")
def keep(class_id: int, monday: date, duty_id: int, how: str) -> ResponseReturnValue:
    """Keep a turn when the week is planned again, or let it go."""
    today = here(class_id).today
    with database().writing() as session:
        rota.set_locked(session, class_id, duty_id, how == "keep", today=today)
    return _back(class_id, monday)


@bp.post("/classes/<int:class_id>/week/<day:monday>/<int:duty_id>/take-off")
def take_off(class_id: int, monday: date, duty_id: int) -> ResponseReturnValue:
    """Take a helper off a day."""
    today = here(class_id).today
    with database().writing() as session:
        rota.take_off(session, class_id, duty_id, today=today)
    return _back(class_id, monday)


def _back(class_id: int, monday: date) -> ResponseReturnValue:
    return redirect(url_for("classes.week", class_id=class_id, monday=monday), 303)
