"""An adult writes a treatment down; its sum is checked against the water in the tank."""

from typing import Any, Self

from flask import render_template, request
from flask.typing import ResponseReturnValue
from wtforms import SelectField, StringField, TextAreaField
from wtforms.validators import Length, Optional

from app.domain.drafts import LONGEST_NOTE, NewJob
from app.domain.records import JobKind, Treatment
from app.services import changes, treatments, words
from app.web.fields import WATER_UNITS, ChoiceField, DayField, NumberField
from app.web.trouble import bp
from app.web.writing.desk import Desk, at_desk
from app.web.writing.saving import put_down, shown
from app.web.writing.sheet import WritingForm

_MOST_ML = 100_000
_MOST_L = 100_000
_NAME = 80
_SAID = {"yes": "Yes", "no": "No", "unknown": "Don’t know"}
_TRUTH = {"yes": True, "no": False}


def _amount(label: str, noun: str, most: float, description: str = "") -> NumberField:
    return NumberField(label, noun=noun, low=0.001, high=most, description=description)


class TreatmentForm(WritingForm):
    """What the label says, as an adult typed it, and what went in."""

    product = StringField(
        "What was used, as on its label",
        [Length(max=_NAME, message=f"Use {_NAME} letters at most.")],
    )
    label_ml = _amount("The label says: milliliters", "the milliliters of the label", _MOST_ML)
    label_l = _amount("For so much water", "the water of the label", _MOST_L)
    label_l_unit = SelectField("Unit of the label’s water", choices=WATER_UNITS)
    volume_l = _amount(
        "Water it was worked out for", "the water it was worked out for", _MOST_L,
        "Empty: the water in this tank.",
    )  # fmt: skip
    volume_l_unit = SelectField("Unit of the water it was worked out for", choices=WATER_UNITS)
    amount_ml = _amount("Milliliters that went in", "the milliliters that went in", _MOST_ML)
    carbon_out = ChoiceField(
        "Is carbon out of the filter?", noun="whether carbon is out", choices=_SAID
    )
    until = DayField("Last day of the course", [Optional()], description="As the label says.")
    note = TextAreaField(
        "Note", [Length(max=LONGEST_NOTE, message=f"Use {LONGEST_NOTE} letters at most.")]
    )

    @classmethod
    def at(cls, desk: Desk) -> Self:
        """An empty form for this tank."""
        unit = "gal" if desk.site.us_gallons else "L"
        form = cls(data={"carbon_out": "unknown", "label_l_unit": unit, "volume_l_unit": unit})
        desk.ready(form)
        return form

    def draft(self, desk: Desk) -> NewJob | None:
        """The treatment, or None with a sentence beside the field."""
        product = self.text("product")
        if not product:
            self.complain("product", "Enter what was used.")
        if self.errors:
            return None
        volume = changes.liters(self.volume_l.number, self.volume_l_unit.data)
        if volume is None and self.label_ml.number and self.label_l.number:
            volume = self.label(desk).net_l
        return NewJob(
            job=JobKind.TREATMENT,
            treatment=Treatment(
                product=product,
                label_ml=self.label_ml.number,
                label_l=self.label_liters,
                volume_l=volume,
                amount_ml=self.amount_ml.number,
                carbon_out=_TRUTH.get(self.carbon_out.data),
                until=self.until.data,
            ),
            note=self.text("note"),
        )

    @property
    def label_liters(self) -> float | None:
        """For how many liters of water the label says it, None as long as it is empty."""
        return changes.liters(self.label_l.number, self.label_l_unit.data)

    def label(self, desk: Desk) -> treatments.LabelSum:
        """The label's sum for this tank; ask only with both numbers of the label."""
        return treatments.label_sum(
            desk.snapshot, self.label_ml.number or 1.0, self.label_liters or 1.0
        )


def _checked(form: TreatmentForm, desk: Desk) -> treatments.LabelSum | None:
    """The sum of the label, with a sentence where one of its numbers is missing."""
    form.validate()
    for name in ("label_ml", "label_l"):
        field: Any = form[name]
        if field.number is None and not field.errors:
            form.complain(name, f"Enter {field.noun}.")
    if form.label_ml.errors or form.label_l.errors:
        return None
    form.form_errors.clear()
    return form.label(desk)


@bp.route("/tank/<int:tank_id>/trouble/treatment", methods=["GET", "POST"])
def treatment(tank_id: int) -> ResponseReturnValue:
    """Check a label's sum, or write the treatment down."""
    desk = at_desk(tank_id)
    form = TreatmentForm.at(desk)
    checking = request.form.get("check") == "yes"
    summed, status = None, 200
    if form.is_submitted() and checking:
        summed = _checked(form, desk)
        status = 200 if summed else 422
    elif form.is_submitted():
        if sheet := form.sheet(desk):
            return put_down(desk, form, sheet)
        status = shown(form)
    return render_template(
        "trouble/treatment.html",
        desk=desk,
        form=form,
        summed=summed,
        course=treatments.course(desk.snapshot),
        cautions=words.cautions(("treatment", "hands")),
    ), status
