"""Animals that came, as a batch that can be traced, and animals that move to another tank."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Self

from flask import render_template, request
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session
from wtforms import StringField, TextAreaField
from wtforms.validators import Length

from app.domain.drafts import NewStockEvent
from app.domain.errors import NotFound
from app.domain.livestock import StockGroup
from app.domain.records import StockEventKind
from app.domain.wording import count
from app.knowledge.model import Caution
from app.services import tanks, words
from app.services.entries import Saved, Stamp
from app.services.livestock import animals as animal_service
from app.services.livestock import arrivals
from app.services.livestock.animals import ArrivalDraft, MoveDraft
from app.services.livestock.arrivals import EarlyQuestion
from app.web.fields import ChoiceField, LengthField, NumberField
from app.web.livestock import bp
from app.web.request import database, visitor
from app.web.writing.desk import Desk, at_desk
from app.web.writing.many import ManyForm
from app.web.writing.saving import answered_early, put_down, shown
from app.web.writing.shared import SharedForm
from app.web.writing.sheet import Sheet, WritingForm

_NOTE = 500
_LONG = "Use {} letters at most."


def _count(label: str) -> NumberField:
    return NumberField(label, noun="how many", low=1, high=10_000, whole=True, required=True)


class _HerdForm(WritingForm):
    """Something that happens to animals of one group; the page sets `herd`."""

    herd: StockGroup
    note = TextAreaField("Note", [Length(max=_NOTE, message=_LONG.format(_NOTE))])

    @classmethod
    def at(cls, desk: Desk, herd: StockGroup) -> Self:
        """The form for this group."""
        form = cls(data={"count": request.args.get("count", "")[:6]})
        form.herd = herd
        desk.ready(form)
        return form


class ArrivalForm(_HerdForm, SharedForm, ManyForm):
    """Animals that came."""

    count = _count("How many came")
    source = StringField(
        "Where from", [Length(max=120, message=_LONG.format(120))],
        description="A shop, a keeper, another class. They become a batch.",
    )  # fmt: skip
    label = StringField(
        "Name of the batch", [Length(max=80, message=_LONG.format(80))],
        description="Only if you want one.",
    )  # fmt: skip
    apart_days = NumberField(
        "Days kept apart before", noun="the days", low=0, high=365, whole=True,
        description="In a tank of their own. Leave it empty if you don’t know.",
    )  # fmt: skip
    length_cm = LengthField(
        "Mean length", noun="the length in cm", low=0.1, high=200,
        description="With tail, if you measured; also as 1.5 in.",
    )  # fmt: skip

    @classmethod
    def at(cls, desk: Desk, herd: StockGroup) -> Self:
        """The form for this group, with the tanks that they may have come from."""
        form = super().at(desk, herd)
        form.ask_shared(desk)
        return form

    def draft(self, desk: Desk) -> NewStockEvent | None:
        """The entry, or None with sentences beside the fields."""
        self.ask_many(desk.snapshot.tank, desk.snapshot.site)
        if self.errors:
            return None
        came = self.arrival()
        return NewStockEvent(
            what=StockEventKind.ARRIVED,
            group_id=came.group_id,
            count=came.count,
            apart_days=came.apart_days,
            length_cm=came.length_cm,
            note=came.note,
        )

    def arrival(self) -> ArrivalDraft:
        """What was typed, once nothing is wrong with it."""
        apart = self.apart_days.number
        return ArrivalDraft(
            group_id=self.herd.id,
            count=int(self.count.number or 0),
            label=self.text("label"),
            source=self.text("source"),
            apart_days=None if apart is None else int(apart),
            length_cm=self.length_cm.number,
            note=self.text("note"),
        )


class MoveForm(_HerdForm):
    """Animals that go to another tank."""

    to_tank = ChoiceField("To which tank", noun="the tank they move to")
    count = _count("How many move")

    def draft(self, desk: Desk) -> NewStockEvent | None:  # noqa: ARG002  # the form says it all
        """The entry of the tank they leave, or None with sentences beside the fields."""
        most = self.herd.count
        if not self.errors and (self.count.number or 0) > most:
            self.complain("count", f"{most} live here. Enter how many of them move.")
        if self.errors:
            return None
        return NewStockEvent(
            what=StockEventKind.MOVED_OUT,
            group_id=self.herd.id,
            count=int(self.count.number or 0),
            note=self.text("note"),
        )

    def moved(self) -> MoveDraft:
        """What was typed, once nothing is wrong with it."""
        return MoveDraft(
            to_tank_id=int(self.to_tank.data),
            group_id=self.herd.id,
            count=int(self.count.number or 0),
            note=self.text("note"),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ComingPage:
    """The form for one group, with the cautions that stand before it."""

    desk: Desk
    herd: StockGroup
    herd_words: str
    form: WritingForm
    cautions: tuple[Caution, ...]


def _herd(desk: Desk, group_id: int) -> StockGroup:
    for herd in desk.snapshot.groups:
        if herd.id == group_id:
            return herd
    raise NotFound("There is no such group in this tank.")


@bp.route("/tank/<int:tank_id>/animals/<int:group_id>/arrive", methods=["GET", "POST"])
def arrive(tank_id: int, group_id: int) -> ResponseReturnValue:
    """More animals of a group came: a batch of their own."""
    desk = at_desk(tank_id)
    form = ArrivalForm.at(desk, _herd(desk, group_id))

    def record(session: Session, stamp: Stamp, _sheet: Sheet) -> Saved | EarlyQuestion:
        def write(asked: Stamp) -> Saved:
            return animal_service.arrive(session, asked, form.arrival(), now=desk.now).saved

        return arrivals.ask_first(session, stamp, write, answered=answered_early(), now=desk.now)

    return _answer(desk, form, record, "livestock/arrive.html", ("hands",))


@bp.route("/tank/<int:tank_id>/animals/<int:group_id>/move", methods=["GET", "POST"])
def move(tank_id: int, group_id: int) -> ResponseReturnValue:
    """Animals of a group move to another tank: one entry in each, taken back together."""
    desk = at_desk(tank_id)
    form = MoveForm.at(desk, _herd(desk, group_id))
    with database().reading() as session:
        lines = tanks.tank_lines(session, visitor().tank_ids)
    form.to_tank.choices = {str(t.id): t.name for t in lines if t.id != tank_id}

    def record(session: Session, stamp: Stamp, _sheet: Sheet) -> Saved | EarlyQuestion:
        moved = form.moved()

        def write(asked: Stamp) -> Saved:
            return animal_service.move(session, asked, moved, now=desk.now).out

        return arrivals.ask_first(
            session,
            stamp,
            write,
            answered=answered_early(),
            now=desk.now,
            tank_id=moved.to_tank_id,
        )

    return _answer(desk, form, record, "livestock/move.html", ("leaving", "hands"))


def _answer(
    desk: Desk,
    form: _HerdForm,
    record: Callable[[Session, Stamp, Sheet], Saved | EarlyQuestion],
    template: str,
    cautions: tuple[str, ...],
) -> ResponseReturnValue:
    if request.method == "POST" and (sheet := form.sheet(desk)):
        return put_down(desk, form, sheet, record)
    herd = form.herd
    page = ComingPage(
        desk=desk,
        herd=herd,
        herd_words=f"{herd.name}, {count(herd.count, 'animal', 'animals')} here now",
        form=form,
        cautions=words.cautions(cautions),
    )
    return render_template(template, page=page), shown(form)
