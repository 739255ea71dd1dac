"""Feed: the one entry whose page is read before the act. Six taps with a temperature."""

from dataclasses import dataclass
from datetime import datetime
from typing import Self

from flask import render_template, request
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session
from wtforms import HiddenField, StringField
from wtforms.validators import Length

from app.domain.drafts import MOST_SCOOPS, NewMeal
from app.domain.quantities import Quantity
from app.services import meals
from app.services.entries import Saved, Stamp
from app.services.meals import Foreseen, MealQuestion, foreseen
from app.services.story import StoryLine
from app.web.fields import ChoiceField, NumberField, plain, reading_fields, with_fields
from app.web.writing import bp
from app.web.writing.choose import Door, doors_for
from app.web.writing.desk import Desk, at_desk, values_of
from app.web.writing.saving import Recorder, put_down, shown
from app.web.writing.sheet import Sheet, WritingForm

AMOUNTS = {"1": "1 flat scoop", "0.5": "Half a scoop", "more": "More scoops", "words": "Other food"}


class _FeedForm(WritingForm):
    """How much went in, and how warm it was; leaving the temperature empty is fine."""

    amount = ChoiceField("How much went in", noun="how much went in", choices=AMOUNTS)
    scoops = NumberField(
        "How many scoops", noun="the number of scoops", low=0.1, high=MOST_SCOOPS,
        description="Only for “More scoops”.",
    )  # fmt: skip
    # what this page tells of the next meal, so that a save need not look at all again
    told = HiddenField(filters=[lambda text: text or ""])
    amount_words = StringField(
        "What and how much",
        [Length(max=80, message="Use 80 letters at most.")],
        description="Only for “Other food”, such as 2 pea halves.",
    )

    @classmethod
    def at(cls, desk: Desk, line: StoryLine | None = None) -> Self:
        """The form for this tank, empty or with what an entry says."""
        form = cls(data=_filled(desk, line))
        desk.ready(form, line)
        return form

    def tell(self, desk: Desk) -> None:
        """Write down what the page that is shown now tells of the next meal."""
        told = None if desk.evaluation is None else foreseen(desk.snapshot, desk.evaluation)
        self.told.data = "" if told is None else told.as_text()

    def draft(self, desk: Desk) -> NewMeal | None:  # noqa: ARG002  # a meal needs no more
        """The meal, or None with a sentence beside the field."""
        if self.amount.errors:
            return None
        if self.amount.data == "words":
            if not self.text("amount_words"):
                self.complain("amount_words", "Write what went in.")
                return None
            return NewMeal(scoops=None, amount_words=self.text("amount_words"))
        if self.amount.data == "more":
            if self.scoops.number is None and not self.scoops.errors:
                self.complain("scoops", "Enter the number of scoops.")
            return NewMeal(scoops=self.scoops.number) if self.scoops.number else None
        return NewMeal(scoops=float(self.amount.data or 1))


FeedForm = with_fields(
    _FeedForm,
    "FeedForm",
    reading_fields(
        Quantity.TEMPERATURE,
        "How warm is the water?",
        "Bring your eyes level with the thermometer. Leave it empty if you did not look.",
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedPage:
    """What the page shows."""

    desk: Desk
    form: _FeedForm
    doors: tuple[Door, ...]
    amount_words: str


def _filled(desk: Desk, line: StoryLine | None) -> dict[str, str]:
    data = {"temperature_unit": desk.temperature_unit, "amount": "1"}
    if request.method == "POST" and line is None:
        return data
    portion = desk.snapshot.tank.plan.portion_scoops
    scoops, words = (
        (portion, "") if line is None else (line.detail.scoops, line.detail.amount_words)
    )
    if scoops is None:
        data |= {"amount": "words", "amount_words": words}
    elif plain(scoops) in AMOUNTS:
        data["amount"] = plain(scoops)
    else:
        data |= {"amount": "more", "scoops": plain(scoops)}
    return data | values_of(line)


@bp.route("/tank/<int:tank_id>/feed", methods=["GET", "POST"])
def feed(tank_id: int) -> ResponseReturnValue:
    """Write a meal down, or ask first when one stands written for that day."""
    desk = at_desk(tank_id)
    form = FeedForm.at(desk)
    if form.is_submitted() and (sheet := form.sheet(desk)):
        return put_down(desk, form, sheet, _record_meal(desk.now, form.told.data))
    form.tell(desk)
    page = FeedPage(
        desk=desk,
        form=form,
        doors=doors_for(tank_id),
        amount_words=AMOUNTS.get(form.amount.data or "", "Choose"),
    )
    return render_template("writing/feed.html", page=page), shown(form)


def _record_meal(moment: datetime, told: str) -> Recorder:
    def record(session: Session, stamp: Stamp, sheet: Sheet) -> Saved | MealQuestion:
        if not isinstance(sheet.draft, NewMeal):
            raise TypeError("the feed page writes meals only")
        return meals.record_meal(
            session,
            stamp,
            sheet.draft,
            sheet.readings,
            again=request.form.get("again") == "yes",
            told=Foreseen.from_text(told),
            now=moment,
        )

    return record
