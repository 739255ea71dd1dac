"""Closing a tank, step by step; its record stays, and it can be opened again."""

from dataclasses import dataclass
from datetime import date
from typing import Self

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import BooleanField
from wtforms.validators import Optional

from app.domain.errors import Refused
from app.domain.livestock import StockGroup
from app.services import course, tanks
from app.web.course import bp
from app.web.course.pages import CoursePage
from app.web.course.step import page_of, step_view
from app.web.fields import DayField, PageForm
from app.web.request import database, now, visitor
from app.web.writing.desk import Desk, at_desk


class CloseForm(PageForm):
    """The last day of a tank, and a second word where animals are still written in it."""

    closed_on = DayField("Last day of the tank", [Optional()])
    anyway = BooleanField("Close it all the same")

    @classmethod
    def at(cls, today: date) -> Self:
        """The form with today."""
        return cls(data={"closed_on": today})

    def day(self, today: date) -> date | None:
        """The last day, or None with a sentence beside the field."""
        self.validate()
        day = self.closed_on.data
        if day is None and not self.closed_on.errors:
            self.complain("closed_on", "Enter the last day of the tank.")
        if day is not None and day > today:
            self.complain("closed_on", "That day has not come yet. Pick a day up to today.")
        return None if self.errors else self.closed_on.data


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosingPage:
    """The steps, the animals still written here, in words too, and the form that closes."""

    course: CoursePage
    groups: tuple[StockGroup, ...]
    living: str
    may_move: bool
    form: CloseForm


@bp.get("/tank/<int:tank_id>/closing")
def closing(tank_id: int) -> ResponseReturnValue:
    """The steps that close a tank; of a closed one, where its record is."""
    desk = at_desk(tank_id)
    return _page(desk, CloseForm.at(desk.snapshot.today))


@bp.route("/tank/<int:tank_id>/closing/<name>", methods=["GET", "POST"])
def closing_step(tank_id: int, name: str) -> ResponseReturnValue:
    """One step of closing."""
    return step_view(tank_id, course.CLOSING, name)


@bp.post("/tank/<int:tank_id>/close")
def close(tank_id: int) -> ResponseReturnValue:
    """Close the tank; with animals written in it only after a second word."""
    desk = at_desk(tank_id)
    form = CloseForm.at(desk.snapshot.today)
    if day := form.day(desk.snapshot.today):
        try:
            with database().writing() as session:
                tanks.close(session, tank_id, day, now=now(), though_animals=form.anyway.data)
        except Refused as refused:
            form.complain("anyway" if desk.snapshot.expected_fish else "closed_on", str(refused))
        else:
            flash(f"{desk.snapshot.tank.name} is closed. Its record stays.", "saved")
            return redirect(url_for("course.closing", tank_id=tank_id), 303)
    return _page(desk, form)


@bp.post("/tank/<int:tank_id>/reopen")
def reopen(tank_id: int) -> ResponseReturnValue:
    """Open a closed tank again."""
    with database().writing() as session:
        tanks.reopen(session, tank_id)
    flash("The tank is open again.", "saved")
    return redirect(url_for("today.today", tank_id=tank_id), 303)


def _page(desk: Desk, form: CloseForm) -> ResponseReturnValue:
    with database().reading() as session:
        others = tanks.tank_lines(session, visitor().tank_ids)
    page = ClosingPage(
        course=page_of(desk, course.CLOSING),
        groups=tuple(g for g in desk.snapshot.groups if g.count),
        living=tanks.living(desk.snapshot.groups),
        may_move=any(line.id != desk.tank_id for line in others),
        form=form,
    )
    return render_template("course/closing.html", page=page), 422 if form.is_submitted() else 200
