"""Letters of what is due: an adult's own wish, and what such a letter would say."""

from dataclasses import dataclass

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import BooleanField, EmailField, SelectMultipleField
from wtforms.widgets import CheckboxInput

from app.domain.errors import Refused
from app.domain.wording import dated
from app.services import reminders as service
from app.services.reminders import Letter, Wish
from app.web.fields import WEEKDAYS, PageForm
from app.web.request import database, now, parts, visitor
from app.web.settings import bp
from app.web.where import place_of_page

_SCHOOL_DAYS = ("0", "1", "2", "3", "4")


class LettersForm(PageForm):
    """Where letters go, and when."""

    email = EmailField("Your e-mail address")
    weekdays = SelectMultipleField("On", choices=WEEKDAYS, option_widget=CheckboxInput())
    only_if_due = BooleanField("Only when something is due")


@dataclass(frozen=True, slots=True, kw_only=True)
class LettersPage:
    """The form, the letter as it would go out now (None: no tank), and the day of the last one."""

    form: LettersForm
    is_wished: bool
    letter: Letter | None
    last: str


@bp.route("/settings/letters", methods=["GET", "POST"])
def reminders() -> ResponseReturnValue:
    """Show what a letter would say; wish for letters."""
    person_id = visitor().person_id
    with database().reading() as session:
        place_of_page(session)
        known = service.wish_of(session, person_id)
    form = LettersForm(
        data={
            "email": known.email if known else "",
            "weekdays": [str(d) for d in sorted(known.weekdays)] if known else _SCHOOL_DAYS,
            "only_if_due": known.only_if_due if known else True,
        }
    )
    if form.validate_on_submit():
        wish = Wish(
            email=form.text("email"),
            weekdays=frozenset(int(day) for day in form.weekdays.data or ()),
            only_if_due=bool(form.only_if_due.data),
        )
        try:
            with database().writing() as session:
                service.set_wish(session, person_id, wish)
        except Refused as refused:
            form.complain("email" if wish.weekdays else "weekdays", str(refused))
        else:
            flash("Your wish is saved.", "saved")
            return redirect(url_for("settings.reminders"), 303)
    with parts().database.without_nicknames.reading() as session:
        letter = service.letter(session, visitor().tank_ids, now=now())
    last = known.last_sent_on if known else None
    page = LettersPage(
        form=form,
        is_wished=known is not None,
        letter=letter,
        last=dated(last) if last else "",
    )
    status = 422 if form.is_submitted() else 200
    return render_template("settings/reminders.html", page=page), status


@bp.post("/settings/letters/end")
def end_reminders() -> ResponseReturnValue:
    """End one's own letters."""
    with database().writing() as session:
        service.end_wish(session, visitor().person_id)
    flash("No more letters are sent to you. The address is forgotten.", "saved")
    return redirect(url_for("settings.reminders"), 303)
