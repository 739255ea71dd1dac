"""One step on its own page: written down as of any time, and out of its turn only when asked."""

from dataclasses import dataclass
from typing import Self

from flask import redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session
from wtforms import TextAreaField
from wtforms.validators import Length

from app.domain.drafts import LONGEST_NOTE, NewJob
from app.domain.records import JobKind
from app.services import course as service
from app.services.course import Course, Way
from app.services.entries import Saved, Stamp
from app.web.course.pages import CoursePage, StepShown, course_page, step_shown
from app.web.fields import new_token
from app.web.request import database, now, visitor
from app.web.saved import just_saved
from app.web.writing.desk import Desk, at_desk
from app.web.writing.saving import put_down, shown
from app.web.writing.sheet import Sheet, WritingForm


class StepForm(WritingForm):
    """A step that is done: when, by whom, and a note."""

    note = TextAreaField(
        "Note", [Length(max=LONGEST_NOTE, message=f"Use {LONGEST_NOTE} letters at most.")]
    )

    @classmethod
    def at(cls, desk: Desk) -> Self:
        """An empty form for this tank."""
        form = cls()
        desk.ready(form)
        return form

    def draft(self, desk: Desk) -> NewJob:  # noqa: ARG002  # the address names the step
        """The step as a job; which one it is, the service knows."""
        return NewJob(job=JobKind.STEP, note=self.text("note"))


@dataclass(frozen=True, slots=True, kw_only=True)
class StepPage:
    """The step, what speaks against ticking it off now, and the form."""

    desk: Desk
    step: StepShown
    doubts: tuple[str, ...]
    form: StepForm
    back_url: str


def way_of(desk: Desk, way: Way) -> Course:
    """How far the tank of this desk is on a way."""
    with database().reading() as session:
        return service.course(session, desk.snapshot.tank, way, now=now())


def page_of(desk: Desk, way: Way) -> CoursePage:
    """The page of a way, with the line of what was just saved."""
    found = way_of(desk, way)
    with database().reading() as session:
        saved = just_saved(session, desk.tank_id, pupils=False)
    return course_page(found, desk.snapshot, visitor(), new_token(), saved)


def step_view(tank_id: int, way: Way, name: str) -> ResponseReturnValue:
    """Show a step, or write it down; out of its turn only after a question."""
    desk = at_desk(tank_id)
    found = way_of(desk, way)
    step = found.state(name).step
    doubts = service.doubts(found, name, desk.snapshot)
    form = StepForm.at(desk)
    may_go_on = not doubts or request.form.get("again") == "yes"
    if form.is_submitted() and (sheet := form.sheet(desk)) and may_go_on:

        def record(session: Session, stamp: Stamp, _sheet: Sheet) -> Saved:
            return service.tick_off(session, stamp, step, form.text("note"), now=now())

        return put_down(desk, form, sheet, record, then=lambda i, e: _back(i, e, way))
    page = StepPage(
        desk=desk,
        step=step_shown(found, name, desk.snapshot),
        doubts=doubts,
        form=form,
        back_url=url_for(f"course.{way}", tank_id=tank_id),
    )
    return render_template("course/step.html", page=page), shown(form)


def _back(tank_id: int, entry_id: int, way: Way) -> ResponseReturnValue:
    return redirect(url_for(f"course.{way}", tank_id=tank_id, saved=entry_id), 303)
