"""From a filled form to a saved entry: once, or with a question first."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from flask import redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.errors import TokenReused
from app.services import entries, people, story
from app.services.entries import Saved, Stamp
from app.services.meals import MealQuestion
from app.services.story import StoryLine
from app.web.fields import PageForm, StampedForm, new_token
from app.web.request import database
from app.web.writing.desk import Desk
from app.web.writing.sheet import Sheet

Recorder = Callable[[Session, Stamp, Sheet], Saved | MealQuestion]


@dataclass(frozen=True, slots=True, kw_only=True)
class BothPage:
    """The same form with two contents: what stands saved, and what was posted now."""

    tank_id: int
    saved: StoryLine
    zone: str
    now_typed: tuple[tuple[str, str], ...]
    hidden: tuple[tuple[str, str], ...]
    fresh_token: str


@dataclass(frozen=True, slots=True, kw_only=True)
class QuestionPage:
    """A question before the act, with what was posted so that nothing is typed twice."""

    tank_id: int
    text: str
    second_meal: bool
    token: str
    hidden: tuple[tuple[str, str], ...]


def stamp_of(desk: Desk, form: StampedForm, happened_at: datetime) -> Stamp:
    """The header of the entry that a form asks for."""
    return Stamp(
        tank_id=desk.tank_id,
        token=form.once,
        happened_at=happened_at,
        author_id=desk.visitor.author_id,
        done_by_id=form.done_by(desk.visitor),
    )


def put_down(
    desk: Desk,
    form: StampedForm,
    sheet: Sheet,
    record: Recorder | None = None,
    *,
    remember_tile: bool = True,
) -> ResponseReturnValue:
    """Save, or show the question that has to be answered first.

    Args:
        desk: The tank and who writes.
        form: The form that was sent.
        sheet: What it says.
        record: How to save it; by default as a new entry.
        remember_tile: Whether the chosen tile is preset next time on this browser.
    """
    stamp = stamp_of(desk, form, sheet.happened_at)
    with database().writing() as session:
        try:
            saved = (record or _record(desk))(session, stamp, sheet)
        except TokenReused as reused:
            session.rollback()
            return _both(session, desk, form, reused.entry_id)
        if isinstance(saved, MealQuestion):
            return _question(desk, form, sheet, saved)
        if remember_tile:
            people.remember_hands(session, desk.visitor, int(form.hands.data))
    return saved_page(desk.tank_id, saved.entry_id)


def _record(desk: Desk) -> Recorder:
    def record(session: Session, stamp: Stamp, sheet: Sheet) -> Saved:
        return entries.record(session, stamp, sheet.draft, sheet.readings, now=desk.now)

    return record


def saved_page(tank_id: int, entry_id: int) -> ResponseReturnValue:
    """On to Today with the saved line."""
    return redirect(url_for("today.today", tank_id=tank_id, saved=entry_id), 303)


def shown(form: PageForm) -> int:
    """The status of a page with this form: 422 when it came back with sentences."""
    return 422 if form.is_submitted() else 200


def _question(
    desk: Desk, form: PageForm, sheet: Sheet, question: MealQuestion
) -> ResponseReturnValue:
    snapshot = desk.snapshot
    day = local_day(sheet.happened_at, snapshot.site.zone)
    page = QuestionPage(
        tank_id=desk.tank_id,
        text=question.text,
        second_meal=any(meal.local_day == day for meal in snapshot.feedings),
        token=form.once,
        hidden=form.typed(),
    )
    return render_template("writing/question.html", page=page)


def _both(session: Session, desk: Desk, form: PageForm, entry_id: int) -> ResponseReturnValue:
    typed = form.typed()
    page = BothPage(
        tank_id=desk.tank_id,
        saved=story.line(session, desk.tank_id, entry_id, pupils=not desk.visitor.is_adult),
        zone=desk.snapshot.site.zone,
        now_typed=tuple(_in_words(form, name, value) for name, value in typed if value),
        hidden=typed,
        fresh_token=new_token(),
    )
    return render_template("writing/both.html", page=page, action=request.path), 409


def _in_words(form: PageForm, name: str, value: str) -> tuple[str, str]:
    if name not in form:
        return name, value
    field = form[name]
    choices = dict(getattr(field, "choices", None) or {})
    return field.label.text, choices.get(value, value)
