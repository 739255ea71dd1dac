"""From a filled form to a saved entry: once, or with a question first."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from flask import redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session
from wtforms import HiddenField

from app.domain.errors import ChangedMeanwhile, TokenReused
from app.services import entries, story
from app.services.access import sign_ins
from app.services.entries import Saved, Stamp
from app.services.livestock.arrivals import EarlyQuestion
from app.services.meals import MealQuestion
from app.services.story import StoryLine
from app.web.fields import PageForm, new_token
from app.web.request import database
from app.web.writing.desk import Desk
from app.web.writing.sheet import Sheet
from app.web.writing.stamped import StampedForm

# the field that says that animals came although the filter was not ready
ANSWERED_EARLY = "early"
Recorder = Callable[[Session, Stamp, Sheet], Saved | MealQuestion | EarlyQuestion]


@dataclass(frozen=True, slots=True, kw_only=True)
class BothPage:
    """Two contents of one form or entry: what stands saved, and what was posted now.

    `changed` says that somebody else saved it while this page was open.
    """

    changed: bool
    tank_id: int
    saved: StoryLine
    zone: str
    now_typed: tuple[tuple[str, str], ...]
    hidden: tuple[tuple[str, str], ...]
    fresh_token: str


@dataclass(frozen=True, slots=True, kw_only=True)
class QuestionPage:
    """A question before the act, with what was posted so that nothing is typed twice.

    `no` is words and address; `yes` is the name under which it is answered, and words.
    """

    title: str
    text: str
    lines: tuple[str, ...]
    token: str
    hidden: tuple[tuple[str, str], ...]
    no: tuple[str, str]
    yes: tuple[str, str]
    hint: str


def stamp_of(desk: Desk, form: StampedForm, happened_at: datetime) -> Stamp:
    """The header of the entry that a form asks for."""
    return Stamp(
        tank_id=desk.tank_id,
        token=form.once,
        happened_at=happened_at,
        author_id=desk.visitor.author_id,
        done_by_id=form.done_by(desk.visitor),
        shared=form.shared(),
    )


def put_down(
    desk: Desk,
    form: StampedForm,
    sheet: Sheet,
    record: Recorder | None = None,
    *,
    remember_tile: bool = True,
    then: Callable[[int, int], ResponseReturnValue] | None = None,
) -> ResponseReturnValue:
    """Save, or show the question that has to be answered first.

    Args:
        desk: The tank and who writes.
        form: The form that was sent.
        sheet: What it says.
        record: How to save it; by default as a new entry.
        remember_tile: Whether the chosen tile is preset next time on this browser.
        then: Where to go on with the tank and the saved entry; by default to Today.
    """
    stamp = stamp_of(desk, form, sheet.happened_at)
    try:
        with database().writing() as session:
            saved = (record or _record(desk))(session, stamp, sheet)
            if isinstance(saved, EarlyQuestion):
                return ask_early(desk.tank_id, form, saved)
            if isinstance(saved, MealQuestion):
                return _ask_again(desk, form, saved)
            if remember_tile:
                sign_ins.remember_hands(session, desk.visitor, int(form.hands.data))
    except TokenReused as reused:
        return _both(desk, form, reused.entry_id)
    except ChangedMeanwhile as changed:
        return _both(desk, form, changed.entry_id, changed=True)
    return (then or saved_page)(desk.tank_id, saved.entry_id)


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


def _ask_again(desk: Desk, form: PageForm, question: MealQuestion) -> ResponseReturnValue:
    page = QuestionPage(
        title="Did food go in?",
        text=question.text,
        lines=(),
        token=form.once,
        hidden=form.typed(),
        no=(
            "No, it was the same" if question.second else "No",
            url_for("today.today", tank_id=desk.tank_id),
        ),
        yes=("again", "Yes, food went in twice" if question.second else "Yes, food went in"),
        hint="With “No” nothing is written. Nobody did anything wrong.",
    )
    return render_template("writing/question.html", page=page)


def answered_early() -> bool:
    """Whether this post says that animals came although the filter was not ready."""
    return request.form.get(ANSWERED_EARLY) == "yes"


def ask_early(tank_id: int, form: PageForm, question: EarlyQuestion) -> ResponseReturnValue:
    """Ask about animals that come before the filter of a tank is ready."""
    page = QuestionPage(
        title="The filter is not ready",
        text=f"Did they come all the same? {question.text} Not yet ready, because:",
        lines=question.because,
        token=form.once,
        hidden=form.typed(),
        no=("No, they wait", url_for("course.maturing", tank_id=tank_id)),
        yes=(ANSWERED_EARLY, "Yes, they came"),
        hint="With “No” nothing is written. With “Yes” the story says that this was asked. If the "
        "filter has grown up long ago, write the day beside the tank’s measures.",
    )
    return render_template("writing/question.html", page=page)


def _both(
    desk: Desk, form: PageForm, entry_id: int, *, changed: bool = False
) -> ResponseReturnValue:
    typed = form.typed()
    # a session that writes reads nicknames, also for whoever is not shown them
    with database().reading() as session:
        pupils, among = not desk.visitor.is_adult, desk.visitor.tank_ids
        saved = story.line(session, desk.tank_id, entry_id, pupils=pupils, among=among)
    page = BothPage(
        changed=changed,
        tank_id=desk.tank_id,
        saved=saved,
        zone=desk.site.zone,
        now_typed=tuple(
            _in_words(form, name, value)
            for name, value in typed
            if _says_something(form, name, value)
        ),
        hidden=typed,
        fresh_token=new_token(),
    )
    return render_template("writing/both.html", page=page, action=request.path), 409


def _says_something(form: PageForm, name: str, value: str) -> bool:
    """Whether a field is shown as typed: nothing hidden, and no unit of a field left empty."""
    measured = name.removesuffix("_unit")
    if measured != name and measured in form and not form[measured].data:
        return False
    return bool(value) and not (name in form and isinstance(form[name], HiddenField))


def _in_words(form: PageForm, name: str, value: str) -> tuple[str, str]:
    if name not in form:
        return name, value
    field = form[name]
    choices = dict(getattr(field, "choices", None) or {})
    return field.label.text, choices.get(value, value)
