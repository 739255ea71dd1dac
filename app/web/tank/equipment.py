"""The equipment register of a tank: heaters, filters, lamps, with their lots, watts and checks."""

from dataclasses import dataclass
from datetime import date
from typing import Any, Self

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from wtforms import SelectField, StringField, TextAreaField
from wtforms.validators import Length, Optional

from app.domain.calendar import local_day
from app.domain.errors import NotFound, Refused
from app.domain.kit import Equipment
from app.domain.tank import Tank
from app.knowledge.model import Caution
from app.services import equipment as service
from app.services import sites, tanks, words
from app.services.equipment import KIND_WORDS, EquipmentDraft
from app.web.fields import DayField, NumberField, PageForm, plain
from app.web.request import database, now, visitor
from app.web.tank import bp

_LONG = "Use {} letters at most."
MOST_WATTS = 5000


class EquipmentForm(PageForm):
    """What is known of one piece; only its kind and name are needed."""

    kind = SelectField("What is it", choices=KIND_WORDS)
    name = StringField(
        "What you call it", [Length(max=80, message=_LONG.format(80))],
        description="So that it can be told from others: “Heater, left corner”.",
    )  # fmt: skip
    watts = NumberField("Watts", noun="the watts", low=0.1, high=MOST_WATTS)
    lot = StringField(
        "Lot", [Length(max=40, message=_LONG.format(40))],
        description="The number behind LOT on box or plate. It finds this piece in a recall.",
    )  # fmt: skip
    since = DayField("In use since", [Optional()])
    next_check_on = DayField(
        "Next check", [Optional()], description="A reminder comes up on To do on this day."
    )
    note = TextAreaField("Note", [Length(max=500, message=_LONG.format(500))])

    @classmethod
    def of(cls, known: Equipment | None = None) -> Self:
        """The form, empty or with what is known."""
        if known is None:
            return cls()
        data: dict[str, Any] = {name: getattr(known, name) for name in (
            "kind", "name", "lot", "since", "next_check_on", "note",
        )}  # fmt: skip
        return cls(data=data | {"watts": plain(known.watts)})

    def draft(self, today: date) -> EquipmentDraft | None:
        """What was typed, or None with sentences beside the fields."""
        self.validate()
        if not self.text("name"):
            self.complain("name", "Enter a name for it.")
        self.refuse_coming(today, "since")
        if self.errors:
            return None
        return EquipmentDraft(
            kind=self.kind.data,
            name=self.text("name"),
            lot=self.text("lot"),
            watts=self.watts.number,
            since=self.since.data,
            next_check_on=self.next_check_on.data,
            note=self.text("note"),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class EquipmentPage:
    """The list, a form for one more, and where a lot was found: pairs of tank and piece.

    `known` is the piece that is changed, None on the page of the list.
    """

    tank: Tank
    today: date
    form: EquipmentForm
    items: tuple[Equipment, ...] = ()
    known: Equipment | None = None
    lot: str = ""
    found: tuple[tuple[str, Equipment], ...] = ()
    cautions: tuple[Caution, ...] = ()
    kind_words: dict[str, str]


@bp.route("/tank/<int:tank_id>/equipment", methods=["GET", "POST"])
def equipment(tank_id: int) -> ResponseReturnValue:
    """Show what hangs on the tank; add one more; look for a lot in all tanks."""
    form = EquipmentForm.of()
    today = _today(tank_id)
    draft = form.draft(today) if form.is_submitted() else None
    if draft is not None:
        try:
            with database().writing() as session:
                service.add(session, tank_id, draft)
        except Refused as refused:
            form.complain("name", str(refused))
        else:
            flash(f"Saved: {draft.name}.", "saved")
            return redirect(url_for("tank.equipment", tank_id=tank_id), 303)
    lot = request.args.get("lot", "")[:40].strip()
    with database().reading() as session:
        page = EquipmentPage(
            tank=tanks.tank(session, tank_id),
            today=today,
            form=form,
            items=service.equipment(session, tank_id),
            lot=lot,
            found=service.with_lot(session, lot, visitor().tank_ids) if lot else (),
            cautions=words.cautions(("electricity",)),
            kind_words=KIND_WORDS,
        )
    return render_template("tank/equipment.html", page=page), _status(form)


@bp.route("/tank/<int:tank_id>/equipment/<int:equipment_id>", methods=["GET", "POST"])
def change_equipment(tank_id: int, equipment_id: int) -> ResponseReturnValue:
    """Change what is known of one piece, or the day of its next check."""
    known = _piece(tank_id, equipment_id)
    form = EquipmentForm.of(known)
    today = _today(tank_id)
    draft = form.draft(today) if form.is_submitted() else None
    if draft is not None:
        try:
            with database().writing() as session:
                service.change(session, equipment_id, draft, visitor=visitor())
        except Refused as refused:
            form.complain(refused.field or "name", str(refused))
        else:
            flash(f"Saved: {draft.name}.", "saved")
            return redirect(url_for("tank.equipment", tank_id=tank_id), 303)
    with database().reading() as session:
        page = EquipmentPage(
            tank=tanks.tank(session, tank_id),
            today=today,
            form=form,
            known=known,
            cautions=words.cautions(("electricity",)),
            kind_words=KIND_WORDS,
        )
    return render_template("tank/equipment_piece.html", page=page), _status(form)


@bp.post("/tank/<int:tank_id>/equipment/<int:equipment_id>/put-away")
def put_equipment_away(tank_id: int, equipment_id: int) -> ResponseReturnValue:
    """Put a piece away; it stays in the list, for a recall."""
    known = _piece(tank_id, equipment_id)
    today = _today(tank_id)
    with database().writing() as session:
        service.retire(session, equipment_id, today)
    flash(f"{known.name} is put away. It stays in the list.", "saved")
    return redirect(url_for("tank.equipment", tank_id=tank_id), 303)


@bp.post("/tank/<int:tank_id>/equipment/<int:equipment_id>/use-again")
def use_equipment_again(tank_id: int, equipment_id: int) -> ResponseReturnValue:
    """Use a piece again that was put away."""
    known = _piece(tank_id, equipment_id)
    with database().writing() as session:
        service.bring_back(session, equipment_id)
    flash(f"{known.name} is in use again.", "saved")
    return redirect(url_for("tank.equipment", tank_id=tank_id), 303)


@bp.post("/tank/<int:tank_id>/equipment/<int:equipment_id>/failed")
def equipment_failed(tank_id: int, equipment_id: int) -> ResponseReturnValue:
    """Write that a piece failed: it is put away, and counts with its lot."""
    known, today = _piece(tank_id, equipment_id), _today(tank_id)
    with database().writing() as session:
        service.failed(session, equipment_id, today)
    flash(f"{known.name} broke: it is put away and counts with its lot.", "saved")
    return redirect(url_for("tank.equipment", tank_id=tank_id), 303)


@bp.post("/tank/<int:tank_id>/equipment/<int:equipment_id>/not-failed")
def equipment_works(tank_id: int, equipment_id: int) -> ResponseReturnValue:
    """Take back that a piece failed."""
    known = _piece(tank_id, equipment_id)
    with database().writing() as session:
        service.not_failed(session, equipment_id)
    flash(f"{known.name} is in use again. It did not break.", "saved")
    return redirect(url_for("tank.equipment", tank_id=tank_id), 303)


def _today(tank_id: int) -> date:
    with database().reading() as session:
        return local_day(now(), sites.without_days(session, tank_id).zone)


def _piece(tank_id: int, equipment_id: int) -> Equipment:
    """A piece of this tank's equipment.

    Raises:
        NotFound: If it does not belong to this tank.
    """
    with database().reading() as session:
        for known in service.equipment(session, tank_id):
            if known.id == equipment_id:
                return known
    raise NotFound("There is no such equipment on this tank.")


def _status(form: PageForm) -> int:
    return 422 if form.is_submitted() else 200
