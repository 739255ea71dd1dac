"""What was done with a plant: trimmed, planted, taken out, with its fresh mass."""

from dataclasses import dataclass
from typing import Any

from flask import render_template, request
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session
from wtforms import TextAreaField
from wtforms.validators import Length

from app.domain.drafts import NewJob
from app.domain.livestock import Plant
from app.domain.records import JobKind
from app.knowledge.model import Caution
from app.services import words
from app.services.entries import Saved, Stamp
from app.services.livestock import plants as plant_service
from app.services.livestock.plants import AMOUNT_WORDS
from app.web.fields import ChoiceField, NumberField
from app.web.plants import bp
from app.web.request import database
from app.web.writing.choose import Door, doors_for
from app.web.writing.desk import Desk, at_desk
from app.web.writing.saving import put_down, shown
from app.web.writing.sheet import Sheet, WritingForm

_DONE = {
    JobKind.TRIM.value: "Trimmed",
    JobKind.PLANTED.value: "Planted more",
    JobKind.PLANT_REMOVED.value: "Taken out, all of it",
}


class DoneForm(WritingForm):
    """What was done with one plant; the page sets `plant_id`."""

    plant_id: int
    what = ChoiceField(
        "What was done", noun="what was done", choices=_DONE, default=JobKind.TRIM.value
    )
    grams = NumberField(
        "Fresh mass", noun="the fresh mass in grams", low=0, high=100_000,
        description="Shaken, not dried. Leave it empty if you did not weigh it.",
    )  # fmt: skip
    amount = ChoiceField("How much grows now", noun="how much grows now", choices=AMOUNT_WORDS)
    note = TextAreaField("Note", [Length(max=500, message="Use 500 letters at most.")])

    def draft(self, desk: Desk) -> NewJob | None:  # noqa: ARG002  # the form says it all
        """The entry, or None with sentences beside the fields."""
        if self.errors:
            return None
        return NewJob(
            job=JobKind(self.what.data),
            plant_id=self.plant_id,
            grams=self.grams.number,
            note=self.text("note"),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class DonePage:
    """The form for one plant, with the cautions that stand before it."""

    desk: Desk
    plant: Plant
    form: Any
    doors: tuple[Door, ...]
    cautions: tuple[Caution, ...]


@bp.route("/tank/<int:tank_id>/plants/<int:plant_id>", methods=["GET", "POST"])
def done(tank_id: int, plant_id: int) -> ResponseReturnValue:
    """Write down what was done with a plant."""
    desk = at_desk(tank_id)
    with database().reading() as session:
        plant = plant_service.plant_of(session, tank_id, plant_id)
    form = DoneForm(data={"what": JobKind.TRIM.value, "amount": plant.amount})
    form.plant_id = plant_id
    desk.ready(form)

    def record(session: Session, stamp: Stamp, sheet: Sheet) -> Saved:
        draft = sheet.draft
        assert isinstance(draft, NewJob)  # noqa: S101  # the form makes nothing else
        return plant_service.tend(session, stamp, draft, form.amount.data, now=desk.now)

    if request.method == "POST" and (sheet := form.sheet(desk)):
        return put_down(desk, form, sheet, record)
    page = DonePage(
        desk=desk,
        plant=plant,
        form=form,
        doors=doors_for(tank_id),
        cautions=words.cautions(("hands", "leaving")),
    )
    return render_template("plants/done.html", page=page), shown(form)
