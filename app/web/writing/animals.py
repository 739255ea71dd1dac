"""What happens to animals of a group: an adult's entry. Losses stay private until they are told."""

from dataclasses import dataclass
from typing import Any, Final, Self

from flask import render_template, request
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session
from wtforms import BooleanField, TextAreaField
from wtforms.validators import Length

from app.domain.drafts import LONGEST_NOTE, MOST_ANIMALS, NewStockEvent
from app.domain.records import StockEventKind
from app.knowledge.model import Caution
from app.services import entries, words
from app.services.entries import Saved, Stamp
from app.services.livestock import arrivals
from app.services.livestock.arrivals import EarlyQuestion
from app.services.story import StoryLine
from app.web.fields import ChoiceField, LengthField, NumberField, plain
from app.web.writing import bp
from app.web.writing.choose import Door, doors_for
from app.web.writing.desk import Desk, at_desk
from app.web.writing.job import adults_only
from app.web.writing.many import ManyForm
from app.web.writing.saving import Recorder, answered_early, put_down, shown
from app.web.writing.shared import SharedForm
from app.web.writing.sheet import Sheet, WritingForm

HAPPENINGS: Final = {
    StockEventKind.ARRIVED.value: "They came",
    StockEventKind.BORN.value: "They were born here",
    StockEventKind.DIED.value: "Found dead",
    StockEventKind.MISSING.value: "Missing for good",
    StockEventKind.FOUND.value: "Found again",
    StockEventKind.LEFT.value: "Went to a new home",
    StockEventKind.MEASURED.value: "Measured",
    StockEventKind.RECOUNTED.value: "Counted anew: so many are there",
}
MOVES: Final = frozenset({StockEventKind.MOVED_OUT.value, StockEventKind.MOVED_IN.value})
_LOSSES: Final = frozenset({StockEventKind.DIED, StockEventKind.MISSING})
_WITH_LENGTH: Final = frozenset({StockEventKind.ARRIVED, StockEventKind.MEASURED})
_OUT: Final = _LOSSES | {StockEventKind.LEFT}
_NO_BATCH: Final = ""


class AnimalsForm(WritingForm, SharedForm, ManyForm):
    """A change in a group of animals."""

    group = ChoiceField("Which animals", noun="which animals")
    what = ChoiceField("What happened", noun="what happened", choices=HAPPENINGS)
    count = NumberField(
        "How many", noun="how many", low=0, high=MOST_ANIMALS, whole=True, required=True
    )
    batch = ChoiceField("Of which batch", noun="of which batch", default=_NO_BATCH)
    private = BooleanField("Keep private until I tell the class")
    length_cm = LengthField(
        "Mean length", noun="the length in cm", low=0.1, high=200,
        description="With tail, also as 1.5 in. Only for animals that came or were measured.",
    )  # fmt: skip
    apart_days = NumberField(
        "Days kept apart before", noun="the days", low=0, high=365, whole=True,
        description="Only for animals that came. Leave it empty if you don’t know.",
    )  # fmt: skip
    note = TextAreaField(
        "Note", [Length(max=LONGEST_NOTE, message=f"Use {LONGEST_NOTE} letters at most.")]
    )

    @classmethod
    def at(cls, desk: Desk, line: StoryLine | None = None) -> Self:
        """The form for this tank, empty or with what an entry says."""
        tank = desk.snapshot.tank
        data: dict[str, Any] = {"private": tank.setting == "class"}
        if line is not None:
            detail = line.detail
            data = {
                "group": str(detail.group_id),
                "what": detail.what,
                "count": str(detail.count),
                "batch": str(detail.batch_id or _NO_BATCH),
                "private": detail.hidden,
                "length_cm": plain(detail.length_cm),
                "apart_days": plain(detail.apart_days),
                "note": detail.note,
            }
        elif request.args.get("group", type=int):
            data["group"] = request.args["group"]
        form = cls(data=data)
        names = {g.id: g.name for g in desk.snapshot.groups}
        form.group.choices = {str(i): name for i, name in names.items()}
        form.batch.choices = {_NO_BATCH: "Nobody knows"} | {
            str(b.id): f"{b.label or b.source} ({names.get(b.group_id, '')})"
            for b in desk.snapshot.batches
        }
        desk.ready(form, line)
        form.ask_shared(desk, line)
        return form

    def draft(self, desk: Desk) -> NewStockEvent | None:
        """What happened, or None with a sentence beside the field."""
        if self.errors or self.count.number is None:
            return None
        what, count = StockEventKind(self.what.data), int(self.count.number)
        if count == 0 and what is not StockEventKind.RECOUNTED:
            self.complain("count", "Enter how many, at least 1.")
        if what is StockEventKind.ARRIVED:
            self.ask_many(desk.snapshot.tank, desk.snapshot.site)
        if what is StockEventKind.MEASURED and self.length_cm.number is None:
            self.complain("length_cm", "Enter how long they are.")
        batch_id = int(self.batch.data) if self.batch.data and what in _OUT else None
        of_group = {b.id for b in desk.snapshot.batches if str(b.group_id) == self.group.data}
        if batch_id is not None and batch_id not in of_group:
            self.complain("batch", "Choose a batch of these animals.")
        if self.errors:
            return None
        came = what is StockEventKind.ARRIVED
        apart = self.apart_days.number if came else None
        return NewStockEvent(
            what=what,
            group_id=int(self.group.data),
            count=count,
            batch_id=batch_id,
            hidden=bool(self.private.data) and what in _LOSSES,
            length_cm=self.length_cm.number if what in _WITH_LENGTH else None,
            apart_days=None if apart is None else int(apart),
            note=self.text("note"),
        )


def _record(desk: Desk) -> Recorder:
    """Write it down; where animals come before the filter is ready, ask first."""

    def record(session: Session, stamp: Stamp, sheet: Sheet) -> Saved | EarlyQuestion:
        def write(asked: Stamp) -> Saved:
            return entries.record(session, asked, sheet.draft, now=desk.now)

        draft = sheet.draft
        if not isinstance(draft, NewStockEvent) or draft.what is not StockEventKind.ARRIVED:
            return write(stamp)
        return arrivals.ask_first(session, stamp, write, answered=answered_early(), now=desk.now)

    return record


@dataclass(frozen=True, slots=True, kw_only=True)
class AnimalsPage:
    """The form, with the cautions that stand before it."""

    desk: Desk
    form: AnimalsForm
    doors: tuple[Door, ...]
    cautions: tuple[Caution, ...]


@bp.route("/tank/<int:tank_id>/animals-entry", methods=["GET", "POST"])
def animals(tank_id: int) -> ResponseReturnValue:
    """Animals came, died, were found, measured or left: for adults."""
    desk = at_desk(tank_id)
    adults_only(desk)
    form = AnimalsForm.at(desk)
    if form.is_submitted() and (sheet := form.sheet(desk)):
        return put_down(desk, form, sheet, _record(desk))
    page = AnimalsPage(
        desk=desk,
        form=form,
        doors=doors_for(tank_id),
        cautions=words.cautions(("dead_fish", "leaving", "hands")),
    )
    return render_template("writing/animals.html", page=page), shown(form)
