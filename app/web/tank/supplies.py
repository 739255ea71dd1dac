"""Supplies: food, conditioner and reagents, and for how many days they last."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any, Final, Self

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import SelectField, StringField, ValidationError
from wtforms.validators import InputRequired, Length, Optional

from app.domain.calendar import local_day
from app.domain.errors import Refused
from app.domain.kit import Kit, Supply, SupplyFacts
from app.domain.tank import Site, Tank
from app.knowledge.model import Caution
from app.services import absences, sites, supply_use, tanks, tasks, words
from app.services import kits as kit_service
from app.services import supplies as service
from app.services.supplies import KIND_WORDS
from app.services.supply_use import AMOUNTS, SupplyOutlook, amount_text
from app.services.workings.model import Unit
from app.services.workings.units import LITERS
from app.web.fields import NOT_YET, ChoiceField, DayField, NumberField, PageForm, plain
from app.web.filters import lasts
from app.web.request import database, now, show_state, visitor
from app.web.tank import bp

_LONG: Final = "Use 80 letters at most."
MOST: Final = 100_000
_UNITS: Final[Mapping[str, tuple[str, Unit]]] = {
    unit.key: (kept, unit) for kept, units in AMOUNTS.items() for unit in units
}
_FLUID: Final = {unit.key: unit for unit in AMOUNTS["mL"]}
_WATER: Final = {unit.key: unit for unit in LITERS}


def _choices(units: Mapping[str, Unit]) -> dict[str, str]:
    return {key: unit.symbol for key, unit in units.items()}


def _amount(label: str, noun: str, low: float, **more: Any) -> NumberField:
    return NumberField(label, noun=noun, low=low, high=MOST, **more)


class CountForm(PageForm):
    """How much was left on a day."""

    left = _amount("How much is left", "how much is left", 0, required=True)
    left_unit = SelectField("Counted in")
    counted_on = DayField(
        "Counted on", [InputRequired(message="Write the day on which it was counted.")]
    )

    @classmethod
    def on(cls, today: date, site: Site, kept: str = "", **more: Any) -> Self:
        """An empty form, with the units of one supply or, for a new one, all."""
        form = cls(
            data={
                "counted_on": today,
                "left_unit": _usual(kept or "g", site),
                "label_l_unit": _usual_water(site),
            },
            **more,
        )
        form.left_unit.choices = {
            key: unit.symbol for key, (of, unit) in _UNITS.items() if kept in {"", of}
        }
        return form

    def validate_counted_on(self, field: DayField) -> None:
        """Refuse a day after the one with which the form came.

        Raises:
            ValidationError: With a sentence for the page.
        """
        if field.data is not None and field.data > field.object_data:
            raise ValidationError(NOT_YET)

    def counted(self) -> tuple[float, str, date] | None:
        """Amount and kept unit, and the day; None with sentences beside the fields."""
        day = self.counted_on.data if self.validate() else None
        if day is None or self.left.number is None:
            return None
        kept, unit = _UNITS[self.left_unit.data]
        return unit.to_kept(self.left.number), kept, day


class FactsForm(PageForm):
    """What stands on the bottle or the tin."""

    name = StringField("Name on it", [Length(max=80, message=_LONG)])
    opened_on = DayField("Opened on", [Optional()])
    expires_on = DayField("Use before", [Optional()])
    label_ml = _amount(
        "Conditioner: the label says", "how much the label says", 0.001,
        description="Only for conditioner. With it the new water tells how long it lasts.",
    )  # fmt: skip
    label_ml_unit = SelectField("Unit of the conditioner", choices=_choices(_FLUID))
    label_l = _amount("For so much water", "for how much water", 0.001)
    label_l_unit = SelectField("Unit of the water", choices=_choices(_WATER))
    kit = SelectField(
        "Drops or strips: of which kit", description="Only for them. Its tests tell the use."
    )

    @classmethod
    def of(cls, known: Supply, kits: tuple[Kit, ...], site: Site, **more: Any) -> Self:
        """The form with what is known."""
        water = _usual_water(site)
        data: dict[str, Any] = {
            "name": known.name,
            "opened_on": known.opened_on,
            "expires_on": known.expires_on,
            "label_ml": plain(known.label_ml),
            # a page without the label sends no units of it
            "label_ml_unit": next(iter(_FLUID)),
            "label_l": plain(
                None if known.label_l is None else round(_WATER[water].from_kept(known.label_l), 3)
            ),
            "label_l_unit": water,
            "kit": str(known.kit_id or ""),
        }
        return cls(data=data, **more).with_kits(kits)

    def with_kits(self, kits: tuple[Kit, ...]) -> Self:
        """Offer the kits to which drops and strips may belong."""
        self.kit.choices = {"": "Not of a kit"} | {str(k.id): k.name for k in kits}
        return self

    def put_into(self, facts: SupplyFacts, today: date) -> SupplyFacts | None:
        """The facts with what was typed; None with sentences beside the fields."""
        self.validate()
        if not self.text("name"):
            self.complain("name", "Enter the name that stands on it.")
        self.refuse_coming(today, "opened_on")
        if (self.label_ml.number is None) is not (self.label_l.number is None):
            empty = "label_ml" if self.label_ml.number is None else "label_l"
            if not self[empty].errors:
                self.complain(empty, "Write both numbers of the label, or none.")
        if self.errors:
            return None
        return replace(
            facts,
            name=self.text("name"),
            opened_on=self.opened_on.data,
            expires_on=self.expires_on.data,
            label_ml=_kept(self.label_ml, _FLUID[self.label_ml_unit.data]),
            label_l=_kept(self.label_l, _WATER[self.label_l_unit.data]),
            kit_id=int(self.kit.data) if self.kit.data else None,
        )


class SupplyForm(CountForm, FactsForm):
    """Something new on the shelf."""

    kind = ChoiceField("What is it", noun="what it is", choices=KIND_WORDS)

    def facts(self, today: date) -> SupplyFacts | None:
        """What was typed, or None with sentences beside the fields."""
        counted = self.counted()
        kind = self.kind.data or ""
        left, unit, on = counted or (0.0, "", date.min)
        empty = SupplyFacts(kind=kind, name="", unit=unit, left=left, counted_on=on)
        facts = self.put_into(empty, today)
        if facts is None or counted is None:
            return None
        if unit not in service.UNITS[kind]:
            units = " or ".join(service.UNITS[kind])
            self.complain("left", f"{KIND_WORDS[kind]}: count it in {units}.")
            return None
        return facts


def _kept(field: NumberField, unit: Unit) -> float | None:
    return None if field.number is None else unit.to_kept(field.number)


def _usual(kept: str, site: Site) -> str:
    """The unit in which a site counts by itself."""
    units = AMOUNTS[kept]
    return units[-1 if site.us_gallons else 0].key


def _usual_water(site: Site) -> str:
    return "gal" if site.us_gallons else "L"


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyRow:
    """One supply as the list shows it."""

    supply: Supply
    kind: str
    left: str
    lasts: str
    outlook: SupplyOutlook


@dataclass(frozen=True, slots=True, kw_only=True)
class SuppliesPage:
    """The list, and a form for one more."""

    tank: Tank
    rows: tuple[SupplyRow, ...]
    form: SupplyForm
    today: date
    cautions: tuple[Caution, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyPage:
    """One supply: count it again, change what is known, strike it."""

    tank: Tank
    row: SupplyRow
    count: CountForm
    form: FactsForm
    today: date


def _row(outlook: SupplyOutlook, site: Site) -> SupplyRow:
    supply = outlook.supply
    days = outlook.days
    return SupplyRow(
        supply=supply,
        kind=KIND_WORDS[supply.kind],
        left=amount_text(supply.left, supply.unit, site),
        lasts="can’t tell" if days is None else lasts(days, outlook.ends_on),
        outlook=outlook,
    )


@bp.route("/tank/<int:tank_id>/supplies", methods=["GET", "POST"])
def supplies(tank_id: int) -> ResponseReturnValue:
    """Show the supplies with the days they last; add one."""
    with database().reading() as session:
        snapshot, seen = tasks.look(session, [tank_id], now=now())[tank_id]
        coming = absences.coming(snapshot)
        outlooks = supply_use.days_left(session, snapshot.site.id, now=now(), coming=coming)
        kits = kit_service.kits(session, snapshot.site.id)
    show_state(seen)
    form = SupplyForm.on(snapshot.today, snapshot.site).with_kits(kits)
    facts = form.facts(snapshot.today) if form.is_submitted() else None
    if facts is not None:
        try:
            with database().writing() as session:
                service.add(session, snapshot.site.id, facts)
        except Refused as refused:
            form.complain("name", str(refused))
        else:
            flash(f"Saved: {facts.name}.", "saved")
            return redirect(url_for("tank.supplies", tank_id=tank_id), 303)
    page = SuppliesPage(
        tank=snapshot.tank,
        rows=tuple(_row(o, snapshot.site) for o in outlooks),
        form=form,
        today=snapshot.today,
        cautions=words.cautions(("bottles",)),
    )
    return render_template("tank/supplies.html", page=page), _status(form)


@bp.route("/tank/<int:tank_id>/supplies/<int:supply_id>", methods=["GET", "POST"])
def supply(tank_id: int, supply_id: int) -> ResponseReturnValue:
    """Change what is known of one supply."""
    with database().reading() as session:
        site = sites.site(session, tank_id)
        known = service.supply(session, site.id, supply_id)
        kits = kit_service.kits(session, site.id)
    today = local_day(now(), site.zone)
    form = FactsForm.of(known, kits, site)
    facts = form.put_into(_facts_of(known), today) if form.is_submitted() else None
    if facts is not None:
        try:
            with database().writing() as session:
                service.change(session, supply_id, facts, visitor=visitor())
        except Refused as refused:
            form.complain("name", str(refused))
        else:
            flash(f"Saved: {facts.name}.", "saved")
            return redirect(url_for("tank.supplies", tank_id=tank_id), 303)
    count = CountForm.on(today, site, known.unit, prefix="count-", formdata=None)
    return _shown(tank_id, supply_id, count, form), _status(form)


@bp.post("/tank/<int:tank_id>/supplies/<int:supply_id>/count")
def count_supply(tank_id: int, supply_id: int) -> ResponseReturnValue:
    """Write down how much is left now."""
    with database().reading() as session:
        site = sites.site(session, tank_id)
        known = service.supply(session, site.id, supply_id)
        kits = kit_service.kits(session, site.id)
    count = CountForm.on(local_day(now(), site.zone), site, known.unit, prefix="count-")
    counted = count.counted()
    if counted is not None:
        left, _, on = counted
        with database().writing() as session:
            service.recount(session, supply_id, left, on)
        flash(f"Saved: {known.name}, {amount_text(left, known.unit, site)} left.", "saved")
        return redirect(url_for("tank.supplies", tank_id=tank_id), 303)
    form = FactsForm.of(known, kits, site, formdata=None)
    return _shown(tank_id, supply_id, count, form), 422


@bp.post("/tank/<int:tank_id>/supplies/<int:supply_id>/remove")
def remove_supply(tank_id: int, supply_id: int) -> ResponseReturnValue:
    """Strike a supply: it is used up, or thrown away."""
    with database().writing() as session:
        service.supply(session, sites.without_days(session, tank_id).id, supply_id)
        service.remove(session, supply_id)
    flash("It is struck from the list.", "saved")
    return redirect(url_for("tank.supplies", tank_id=tank_id), 303)


def _shown(tank_id: int, supply_id: int, count: CountForm, form: FactsForm) -> str:
    with database().reading() as session:
        tank, site = tanks.tank(session, tank_id), sites.site(session, tank_id)
        outlooks = supply_use.days_left(session, site.id, now=now())
    page = SupplyPage(
        tank=tank,
        row=next(_row(o, site) for o in outlooks if o.supply.id == supply_id),
        count=count,
        form=form,
        today=local_day(now(), site.zone),
    )
    return render_template("tank/supply.html", page=page)


def _facts_of(known: Supply) -> SupplyFacts:
    return SupplyFacts(**{n: getattr(known, n) for n in SupplyFacts.__dataclass_fields__})


def _status(form: PageForm) -> int:
    return 422 if form.is_submitted() else 200
