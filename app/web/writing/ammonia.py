"""Ammonia that a grown-up added, so that the filter of a tank without animals can grow."""

from dataclasses import dataclass
from typing import Any, Self

from flask import render_template, request
from flask.typing import ResponseReturnValue
from wtforms import BooleanField, SelectField, TextAreaField
from wtforms.validators import Length

from app.domain.drafts import NewJob
from app.domain.quantities import FACTS, Quantity
from app.domain.records import JobKind
from app.domain.wording import count, short, with_unit
from app.knowledge.model import Caution
from app.services import words
from app.services.story import StoryLine
from app.web.fields import NumberField, chosen_unit, plain, unit_choices
from app.web.writing import bp
from app.web.writing.choose import Door, doors_for
from app.web.writing.desk import Desk, at_desk
from app.web.writing.saving import put_down, shown
from app.web.writing.sheet import WritingForm

_AMMONIA = FACTS[Quantity.AMMONIA]
# amount and strength stand before it, in the one note of a job
_LONGEST_NOTE = 400
# what the page that worked the amount out may fill in
_PLANNED = ("reached", "amount", "amount_unit", "strength")


class AmmoniaForm(WritingForm):
    """How much ammonia went in, and up to what it was meant to bring the water."""

    reached = NumberField(
        "Ammonia (total) it was to reach", noun="how much it was to reach", low=0.01, high=100,
        description="Leave it empty if nobody worked it out. Then it proves nothing about the "
        "filter.",
    )  # fmt: skip
    reached_unit = SelectField("Unit of ammonia", choices=unit_choices(_AMMONIA))
    amount = NumberField("How much went in", noun="how much went in", low=0.01, high=10_000)
    amount_unit = SelectField("Unit of the amount", choices={"mL": "mL", "g": "g"})
    strength = NumberField(
        "Strength on the label", noun="the strength on the label", low=0.1, high=100
    )
    really = BooleanField("Yes, it went in although animals live here")
    note = TextAreaField(
        "Note", [Length(max=_LONGEST_NOTE, message=f"Use {_LONGEST_NOTE} letters at most.")]
    )

    @classmethod
    def at(cls, desk: Desk, line: StoryLine | None = None) -> Self:
        """The form for this tank: empty, worked out before, or with what an entry says."""
        data: dict[str, Any] = {name: request.args.get(name, "")[:10] for name in _PLANNED}
        if line is not None:
            detail = line.detail
            data = {"reached": plain(detail.mg_per_l), "really": True, "note": detail.note}
        form = cls(data={name: value for name, value in data.items() if value})
        desk.ready(form, line)
        return form

    def draft(self, desk: Desk) -> NewJob | None:
        """What went in, or None with a sentence beside the field."""
        animals = desk.snapshot.expected_fish
        if animals and not self.really.data:
            here = count(animals, "animal lives", "animals live")
            self.complain("really", f"{here} here, and ammonia harms them. Did it really go in?")
        if self.errors:
            return None
        reached, unit = self.reached.number, chosen_unit(_AMMONIA, self.reached_unit.data)
        return NewJob(
            job=JobKind.AMMONIA_ADDED,
            mg_per_l=None if reached is None else unit.to_kept(reached),
            note=" ".join(part for part in (self._amount_words(), self.text("note")) if part),
        )

    def _amount_words(self) -> str:
        parts = []
        if self.amount.number is not None:
            parts.append(with_unit(short(self.amount.number), self.amount_unit.data))
        if self.strength.number is not None:
            parts.append(f"label {with_unit(short(self.strength.number), '%')}")
        return f"{', '.join(parts)}." if parts else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AmmoniaPage:
    """The form, with the cautions that stand before it; `animals` is how many live here."""

    desk: Desk
    form: AmmoniaForm
    doors: tuple[Door, ...]
    cautions: tuple[Caution, ...]
    animals: int


@bp.route("/tank/<int:tank_id>/ammonia-entry", methods=["GET", "POST"])
def ammonia(tank_id: int) -> ResponseReturnValue:
    """Write down that ammonia was added: for adults."""
    desk = at_desk(tank_id)
    form = AmmoniaForm.at(desk)
    if form.is_submitted() and (sheet := form.sheet(desk)):
        return put_down(desk, form, sheet)
    page = AmmoniaPage(
        desk=desk,
        form=form,
        doors=doors_for(tank_id),
        cautions=words.cautions(("ammonia_bottle", "hands")),
        animals=desk.snapshot.expected_fish,
    )
    return render_template("writing/ammonia.html", page=page), shown(form)
