"""Taking back and fixing: what was wrong stays in the story, struck through, with its reason."""

from dataclasses import dataclass, replace
from typing import Any

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session
from wtforms import Form

from app.domain.errors import Refused
from app.domain.records import EntryKind, EntryStatus, JobKind
from app.services import entries, story
from app.services.entries import Saved, Stamp
from app.services.story import StoryLine
from app.web.fields import ChoiceField
from app.web.request import database, now, visitor
from app.web.writing import bp
from app.web.writing.ammonia import AmmoniaForm
from app.web.writing.animals import MOVES, AnimalsForm
from app.web.writing.change import ChangeForm
from app.web.writing.desk import Desk, at_desk
from app.web.writing.feed import FeedForm
from app.web.writing.job import ADULT_JOBS, JobForm, adults_only
from app.web.writing.look import LookForm
from app.web.writing.note import NoteForm
from app.web.writing.saving import Recorder, put_down
from app.web.writing.sheet import Sheet
from app.web.writing.staying import come_back, typed_so_far
from app.web.writing.test import TestForm

REASONS = {
    "misread": "Misread",
    "wrong unit": "Wrong unit",
    "wrong time": "Wrong time",
    "wrong tile": "Wrong tile",
}
# with these the entry counts no more; nothing takes its place here
TAKEN_BACK = {"wrong tank": "Wrong tank", "test page": "Only a try"}


class ReasonForm(Form):
    """Why an entry is fixed."""

    reason = ChoiceField("What was wrong?", noun="what was wrong")


@dataclass(frozen=True, slots=True, kw_only=True)
class FixPage:
    """What the page shows: the entry as it stands, and the form that replaces it, if any."""

    desk: Desk
    form: Any
    reason: ReasonForm
    line: StoryLine
    fields: str


def _form_for(desk: Desk, line: StoryLine) -> tuple[Any, str]:
    """The form for this kind of entry and the template of its fields."""
    match line.kind:
        case EntryKind.FEEDING:
            return FeedForm.at(desk, line), "writing/_feed.html"
        case EntryKind.WATER_TEST:
            return TestForm.at(desk, line), "writing/_test.html"
        case EntryKind.OBSERVATION if not line.detail.is_look:
            return NoteForm.at(desk, line), "writing/_note.html"
        case EntryKind.OBSERVATION:
            return LookForm.at(desk, line), "writing/_look.html"
        # a move stands in two tanks: it is taken back and written anew
        case EntryKind.STOCK_EVENT if line.detail.what not in MOVES:
            return AnimalsForm.at(desk, line), "writing/_animals.html"
        case EntryKind.JOB:
            return _job_form(desk, line)
        case _:
            return None, ""


def _job_form(desk: Desk, line: StoryLine) -> tuple[Any, str]:
    if line.detail.job in {JobKind.WATER_CHANGE, JobKind.TOP_UP}:
        return ChangeForm.at(desk, line), "writing/_change.html"
    if line.detail.job == JobKind.AMMONIA_ADDED:
        return AmmoniaForm.at(desk, line), "writing/_ammonia.html"
    return JobForm.at(desk, line), "writing/_job.html"


def _line(tank_id: int, entry_id: int) -> StoryLine:
    with database().reading() as session:
        return story.line(
            session, tank_id, entry_id, pupils=not visitor().is_adult, among=visitor().tank_ids
        )


def _is_adults(line: StoryLine) -> bool:
    """Whether only adults write this kind of entry down."""
    if line.kind is EntryKind.JOB:
        return line.detail.job in ADULT_JOBS
    return line.kind in {EntryKind.STOCK_EVENT, EntryKind.LOGGER}


def _may_fix(desk: Desk, line: StoryLine) -> None:
    if line.status is not EntryStatus.OK:
        raise Refused("This entry was fixed or taken back already. Look at the newest one.")
    if not desk.visitor.is_adult and not line.by_helper:
        raise Refused("A grown-up wrote this. Ask the grown-up in charge.")
    if not desk.visitor.is_adult and desk.now - line.recorded_at > entries.FIX_TIME:
        raise Refused("The 10 minutes are over. Ask the grown-up in charge.")


@bp.route("/tank/<int:tank_id>/entry/<int:entry_id>/fix", methods=["GET", "POST"])
def fix(tank_id: int, entry_id: int) -> ResponseReturnValue:
    """Fix an entry: a new one replaces it, or it is taken back where it was no entry at all."""
    desk = at_desk(tank_id)
    line = _line(tank_id, entry_id)
    if _is_adults(line):
        adults_only(desk)
    if request.method == "GET":
        _may_fix(desk, line)
    form, fields = _form_for(desk, line)
    reason = ReasonForm(typed_so_far() or None)
    open_reasons = dict(REASONS) if form is not None else {}
    reason.reason.choices = open_reasons | (TAKEN_BACK if desk.visitor.is_adult else {})
    if form is not None and (added := form.added(desk)) is not None:
        return come_back(form, added)
    if request.method == "POST":
        chosen = reason.reason.data if reason.validate() else ""
        if chosen in TAKEN_BACK:
            return _take_back(tank_id, entry_id, chosen)
        if form is not None and (sheet := form.sheet(desk)) and chosen:
            correct = _correct(desk, entry_id, chosen)
            sheet = _at_its_moment(sheet, line)
            try:
                return put_down(desk, form, sheet, correct, remember_tile=False)
            except Refused as refused:
                if not refused.field:
                    raise
                form.complain(refused.field, str(refused))
    page = FixPage(desk=desk, form=form, reason=reason, line=line, fields=fields)
    return render_template("writing/fix.html", page=page), 422 if request.method == "POST" else 200


def _at_its_moment(sheet: Sheet, line: StoryLine) -> Sheet:
    """The time field knows no seconds: an unchanged minute keeps the entry's place in the story."""
    if sheet.happened_at == line.happened_at.replace(second=0, microsecond=0):
        return replace(sheet, happened_at=line.happened_at)
    return sheet


def _correct(desk: Desk, entry_id: int, reason: str) -> Recorder:
    def record(session: Session, stamp: Stamp, sheet: Sheet) -> Saved:
        return entries.correct(
            session,
            stamp,
            entry_id,
            sheet.draft,
            sheet.readings,
            reason=reason,
            visitor=desk.visitor,
            now=desk.now,
        )

    return record


@bp.post("/tank/<int:tank_id>/entry/<int:entry_id>/undo")
def undo(tank_id: int, entry_id: int) -> ResponseReturnValue:
    """Take an entry back: anybody within 20 seconds, an adult at any time."""
    by = "undone" if visitor().is_adult else "undone by a helper"
    return _take_back(tank_id, entry_id, by)


def _take_back(tank_id: int, entry_id: int, reason: str) -> ResponseReturnValue:
    line = _line(tank_id, entry_id)
    with database().writing() as session:
        entries.withdraw(session, tank_id, entry_id, visitor=visitor(), reason=reason, now=now())
    flash(f"Taken back: {line.title}. It stays in the story.", "saved")
    return redirect(url_for("today.today", tank_id=tank_id), 303)
