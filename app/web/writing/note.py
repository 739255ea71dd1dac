"""A note: words about the tank, without a look, a count or a test."""

from dataclasses import dataclass
from typing import Self

from flask import render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import TextAreaField
from wtforms.validators import Length

from app.domain.drafts import LONGEST_NOTE, NewNote
from app.services.story import StoryLine
from app.web.rights import may_open
from app.web.writing import bp
from app.web.writing.choose import Door, doors_for
from app.web.writing.desk import Desk, at_desk
from app.web.writing.saving import put_down, shown
from app.web.writing.sheet import WritingForm


class NoteForm(WritingForm):
    """Words about the tank."""

    note = TextAreaField(
        "Your note",
        [Length(max=LONGEST_NOTE, message=f"Use {LONGEST_NOTE} letters at most.")],
        description="Name animals and plants, never people.",
    )

    @classmethod
    def at(cls, desk: Desk, line: StoryLine | None = None) -> Self:
        """The form for this tank, empty or with what an entry says."""
        form = cls(data={"note": line.detail.note if line else ""})
        desk.ready(form, line)
        return form

    def draft(self, desk: Desk) -> NewNote | None:  # noqa: ARG002  # other forms look at it
        """The words, or None with a sentence beside the field."""
        if not self.text("note"):
            self.complain("note", "Write something down first.")
            return None
        return None if self.errors else NewNote(note=self.text("note"))


@dataclass(frozen=True, slots=True, kw_only=True)
class NotePage:
    """The form, and the other ways to write down."""

    desk: Desk
    form: NoteForm
    doors: tuple[Door, ...]
    adult: bool
    private_url: str


@bp.route("/tank/<int:tank_id>/note", methods=["GET", "POST"])
def note(tank_id: int) -> ResponseReturnValue:
    """Write a note."""
    desk = at_desk(tank_id)
    form = NoteForm.at(desk)
    if form.is_submitted() and (sheet := form.sheet(desk)):
        return put_down(desk, form, sheet)
    page = NotePage(
        desk=desk,
        form=form,
        doors=doors_for(tank_id),
        adult=desk.visitor.is_adult,
        private_url=url_for("notebook.private", tank_id=tank_id)
        if may_open("notebook.private")
        else "",
    )
    return render_template("writing/note.html", page=page), shown(form)
