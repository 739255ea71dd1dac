"""A keeper's own table: say what its columns hold, look at it, then save all of it or nothing."""

import hashlib
from typing import Any, Final

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from flask_wtf.file import FileField
from wtforms import BooleanField, HiddenField, SelectField
from wtforms.validators import InputRequired

from app.domain import sheet_file
from app.domain.errors import Refused
from app.domain.sheet_columns import LEFT_OUT, MEANINGS, Holds
from app.domain.sheet_file import Sheet
from app.domain.sheet_rows import SheetChoice, problems
from app.domain.sheet_times import asks_for_order
from app.domain.tank import Site, Tank
from app.domain.wording import count
from app.services import sites, tanks
from app.services.sheets import sheet_import, sheet_undo
from app.services.sheets.sheet_import import SheetLook
from app.web.exchange import bp
from app.web.exchange.sheet_pages import SheetPage, column_rows, import_rows, preview_of
from app.web.fields import ChoiceField, TimeOfDayField, with_fields
from app.web.handed_in import FileForm, handed_in
from app.web.request import database, now, visitor

_CHOICES: Final = {LEFT_OUT: "Leave it out"} | {key: m.label for key, m in MEANINGS.items()}
_ORDERS: Final = {"": None, "month": False, "day": True}


class SheetForm(FileForm):
    """The file, and what it does not say itself."""

    file = FileField(
        "Your table",
        description="Save it as CSV in the spreadsheet first. Any headings will do.",
    )
    dates = ChoiceField(
        "4/5 is", noun="how dates are meant", default="",
        choices={"": "As the file shows", "month": "April 5", "day": "May 4"},
    )  # fmt: skip
    noon = TimeOfDayField(
        "Time of rows that have only a date", [InputRequired("Enter a time, such as 12:00.")]
    )
    by_device = BooleanField("A device measured by itself, and nobody was there")
    leave_refused = BooleanField("Leave the rows out that cannot be read")
    confirmed = BooleanField("The unusual values are right")
    looked_at = HiddenField("What was looked at")
    columns: tuple[str, ...] = ()


def _with_columns(sheet: Sheet, first: SheetChoice, form: SheetForm, *, chosen: bool) -> Any:
    """The form with a choice for each column, at first as it is guessed."""
    names = tuple(f"column_{at}" for at in range(len(sheet.headings)))
    fields = {
        name: SelectField(heading, choices=_CHOICES, default=guess, validate_choice=False)
        for name, heading, guess in zip(names, sheet.headings, first.columns, strict=True)
    }
    kind = with_fields(SheetForm, "ColumnsForm", fields | {"columns": names})
    if chosen:
        return kind()
    data = {"noon": first.noon, "dates": "", "file_name": form.file_name.data}
    made = kind(formdata=None, data=data | {"token": form.once})
    made.token.data = form.once
    return made


def _choice(form: Any, first: SheetChoice) -> SheetChoice:
    return SheetChoice(
        columns=tuple(
            form[name].data if form[name].data in MEANINGS else LEFT_OUT for name in form.columns
        ),
        zone=first.zone,
        day_first=_ORDERS.get(form.dates.data or ""),
        noon=form.noon.data or first.noon,
        by_device=bool(form.by_device.data),
        net_l=first.net_l,
        last_day=first.last_day,
    )


@bp.route("/tank/<int:tank_id>/bring-in/table", methods=["GET", "POST"])
def sheet(tank_id: int) -> ResponseReturnValue:
    """Choose a table, say what its columns hold, look at it, save it."""
    with database().reading() as session:
        tank, site = tanks.tank(session, tank_id), sites.site(session, tank_id)
    form = SheetForm()
    if form.is_submitted():
        found = _opened(form)
        if found is not None:
            return _looked_at(tank, site, found, form)
    return _page(tank, site, form), 422 if form.is_submitted() else 200


def _opened(form: SheetForm) -> Sheet | None:
    """The table that was handed in, or None with a sentence beside the field."""
    content = handed_in(form)
    if content is None:
        return None
    try:
        return sheet_file.opened(content)
    except Refused as refused:
        form.complain("file", str(refused))
        return None


def _looked_at(tank: Tank, site: Site, found: Sheet, handed: SheetForm) -> ResponseReturnValue:
    """The page with what the file would bring, or the way on once it is saved."""
    with database().reading() as session:
        first = sheet_import.first_choice(session, tank.id, found)
    chosen = not handed.file.data and "column_0" in request.form
    form = _with_columns(found, first, handed, chosen=chosen)
    choice = _choice(form, first) if chosen else first
    if chosen:
        form.validate()
    look = _look(tank.id, found, choice, form)
    if look is not None:
        print_now = _print_of(choice, look)
        if request.form.get("save") and _may_save(form, look, print_now):
            return _save(tank.id, found, choice, form, look)
        if form.looked_at.data != print_now:
            # what was ticked was about another look
            form.leave_refused.data = form.confirmed.data = False
        form.looked_at.data = print_now
    asked = look is None or bool(form.errors)
    return _page(tank, site, form, found, look), 422 if asked else 200


def _look(tank_id: int, found: Sheet, choice: SheetChoice, form: Any) -> SheetLook | None:
    """What the file would bring, or None with sentences on the form."""
    dates = _date_column(choice)
    if dates is not None and choice.day_first is None:
        either = asks_for_order(found.column(dates))
        if either:
            form.complain("dates", f"Does {either[:20]} begin with the month or the day?")
    for problem in problems(choice):
        form.form_errors = [*form.form_errors, problem]
    if form.errors:
        return None
    try:
        with database().reading() as session:
            return sheet_import.look(session, tank_id, found, choice, now=now())
    except Refused as refused:
        form.complain("file", str(refused))
        return None


def _date_column(choice: SheetChoice) -> int | None:
    return next((at for at, key in enumerate(choice.columns) if key == Holds.DATE.value), None)


def _print_of(choice: SheetChoice, look: SheetLook) -> str:
    """What tells one look from another: a tick counts for the look it was set at."""
    tally = look.tally
    text = f"{choice!r} {look.new} {tally.refused_count} {tally.unusual_count}"
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _may_save(form: Any, look: SheetLook, print_now: str) -> bool:
    if form.looked_at.data != print_now:
        form.form_errors = [*form.form_errors, "Something is different now. Look at it once more."]
    elif look.tally.refused_count and not form.leave_refused.data:
        form.complain("leave_refused", "Tick this, or put the file right and choose it again.")
    elif look.tally.unusual_count and not form.confirmed.data:
        form.complain("confirmed", "Look at them one by one, then tick this.")
    return not form.errors


def _save(
    tank_id: int, found: Sheet, choice: SheetChoice, form: Any, look: SheetLook
) -> ResponseReturnValue:
    with database().writing() as session:
        done = sheet_import.bring_in(
            session,
            tank_id,
            found,
            choice,
            token=form.once,
            file_name=form.file_name.data or "",
            author_id=visitor().author_id,
            leave_refused=bool(form.leave_refused.data),
            confirmed=look.tally.unusual_count,
            now=now(),
        )
    said = f"{count(done.added, 'thing', 'things')} saved"
    if done.known:
        said += f", {done.known} stood here already"
    flash(f"{said}.", "saved")
    return redirect(url_for("exchange.sheet", tank_id=tank_id), 303)


@bp.post("/tank/<int:tank_id>/bring-in/table/<int:batch_id>/take-back")
def take_import_back(tank_id: int, batch_id: int) -> ResponseReturnValue:
    """Take back all that came with one file."""
    with database().writing() as session:
        done = sheet_undo.take_back(session, tank_id, batch_id, visitor=visitor(), now=now())
    flash(f"{count(done, 'entry is', 'entries are')} taken back.", "saved")
    return redirect(url_for("exchange.sheet", tank_id=tank_id), 303)


def _page(
    tank: Tank,
    site: Site,
    form: Any,
    found: Sheet | None = None,
    look: SheetLook | None = None,
) -> str:
    with database().reading() as session:
        known = sheet_undo.imports_of(session, tank.id)
    page = SheetPage(
        tank=tank,
        form=form,
        columns=() if found is None else column_rows(found, form.columns),
        preview=None if look is None else preview_of(look, tank, site),
        imports=import_rows(known, tank.id, site),
    )
    return render_template("exchange/sheet.html", page=page)
