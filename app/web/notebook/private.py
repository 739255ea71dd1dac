"""An adult's own notes about a tank, seen by adults in charge and nobody else."""

from dataclasses import dataclass
from datetime import datetime

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import TextAreaField
from wtforms.validators import Length

from app.domain.tank import Tank
from app.services import private_notes, tanks
from app.services.entries import zone_of
from app.services.private_notes import LONGEST, PrivateNote
from app.web.fields import PageForm
from app.web.notebook import bp
from app.web.request import database, now, visitor
from app.web.writing.saving import shown


class PrivateForm(PageForm):
    """Words for the grown-ups in charge alone."""

    note = TextAreaField(
        "Your note", [Length(max=LONGEST, message=f"Use {LONGEST} letters at most.")]
    )

    def words(self) -> str:
        """What was typed, or "" with a sentence beside the field."""
        if self.validate() and not self.text("note"):
            self.complain("note", "Write something down first.")
        return "" if self.errors else self.text("note")


@dataclass(frozen=True, slots=True, kw_only=True)
class PrivatePage:
    """The form and all private notes of the tank, newest first."""

    tank: Tank
    form: PrivateForm
    notes: tuple[PrivateNote, ...]
    zone: str
    now: datetime


@bp.route("/tank/<int:tank_id>/notebook/private", methods=["GET", "POST"])
def private(tank_id: int) -> ResponseReturnValue:
    """Write a private note; read what was written."""
    form = PrivateForm()
    if form.is_submitted() and (words := form.words()):
        with database().writing() as session:
            private_notes.write(session, tank_id, words, author_id=visitor().author_id, now=now())
        flash("Saved. Only grown-ups in charge see it.", "saved")
        return redirect(url_for("notebook.private", tank_id=tank_id), 303)
    with database().reading() as session:
        page = PrivatePage(
            tank=tanks.tank(session, tank_id),
            form=form,
            notes=private_notes.private_notes(session, tank_id),
            zone=zone_of(session, tank_id),
            now=now(),
        )
    return render_template("notebook/private.html", page=page), shown(form)


@bp.post("/tank/<int:tank_id>/notebook/private/<int:note_id>/erase")
def erase_private_note(tank_id: int, note_id: int) -> ResponseReturnValue:
    """Erase a private note for good."""
    private_notes.erase(database(), tank_id, note_id)
    flash("The note is erased.", "saved")
    return redirect(url_for("notebook.private", tank_id=tank_id), 303)
