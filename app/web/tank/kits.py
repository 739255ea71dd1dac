"""Test kits and the scoop: what the numbers of this household stand on."""

from dataclasses import dataclass
from datetime import date
from typing import Any, Self

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import SelectField, StringField
from wtforms.validators import Length, Optional

from app.domain.calendar import local_day
from app.domain.errors import Refused
from app.domain.guard import number_from
from app.domain.kit import Kit, KitFacts
from app.domain.quantities import FACTS, Quantity
from app.domain.tank import Tank
from app.domain.wording import NBSP, number
from app.services import kits as kit_service
from app.services import sites, tanks
from app.web.fields import DayField, NumberField, PageForm, plain, unit_key
from app.web.request import database, now
from app.web.tank import bp

MOST_STEPS = 20


def _units(quantity: Quantity | None = None) -> dict[str, str]:
    """All units with their quantity, because one list serves all quantities without script."""
    return {
        f"{facts.quantity.value}|{unit_key(u.symbol, u.basis)}": (
            f"{facts.label}: {u.symbol} {u.basis}".strip().rstrip(":")
        )
        for facts in FACTS.values()
        for u in facts.units
        if quantity in {None, facts.quantity}
    }


class KitForm(PageForm):
    """A kit, card, drops or meter, with the unit and basis that its own sheet names."""

    unit = SelectField(
        "What it measures, and in what",
        choices=_units(),
        description="The kit’s sheet says it: “as N” and “as nitrate” differ by 4.4 times.",
    )
    name = StringField("Name on the box", [Length(max=80, message="Use 80 letters at most.")])
    steps = StringField(
        "Colors of the card", [Length(max=200, message="Use 200 letters at most.")],
        description="The numbers beside them: 0 0.25 0.5 1 2. Empty for drops or a meter.",
    )  # fmt: skip
    lot = StringField(
        "Lot", [Length(max=40, message="Use 40 letters at most.")],
        description="The number behind LOT. It finds this kit when a lot turns out to be bad.",
    )  # fmt: skip
    opened_on = DayField("Opened on", [Optional()])
    expires_on = DayField("Use before", [Optional()])
    next_check_on = DayField(
        "Next check", [Optional()], description="A reminder comes up on To do on this day."
    )

    @classmethod
    def of(cls, known: Kit) -> Self:
        """The form with what is known of a kit; what it measures stays."""
        data: dict[str, Any] = {name: getattr(known, name) for name in (
            "name", "lot", "opened_on", "expires_on", "next_check_on",
        )}  # fmt: skip
        form = cls(
            data=data
            | {
                "unit": f"{known.quantity.value}|{unit_key(known.unit, known.basis)}",
                "steps": " ".join(plain(step) for step in known.steps),
            }
        )
        form.unit.choices = _units(known.quantity)
        return form

    def facts(self, today: date) -> KitFacts | None:
        """What was typed, or None with sentences beside the fields."""
        self.validate()
        if not self.text("name"):
            self.complain("name", "Enter the name on the box.")
        self.refuse_coming(today, "opened_on")
        steps = self._steps()
        if self.errors or steps is None:
            return None
        quantity, symbol, basis = self.unit.data.split("|")
        return KitFacts(
            quantity=Quantity(quantity),
            name=self.text("name"),
            unit=symbol,
            basis=basis,
            steps=steps,
            lot=self.text("lot"),
            opened_on=self.opened_on.data,
            expires_on=self.expires_on.data,
            next_check_on=self.next_check_on.data,
        )

    def _steps(self) -> tuple[float, ...] | None:
        found = [number_from(text) for text in (self.steps.data or "").split()]
        known = [float(n) for n in found if n is not None and n >= 0]
        if len(known) < len(found):
            self.complain("steps", "Write the numbers beside the colors, with spaces between.")
        elif len(known) == 1 or len(known) > MOST_STEPS:
            self.complain("steps", f"A card has 2 to {MOST_STEPS} colors.")
        elif known != sorted(set(known)):
            self.complain("steps", "Write the colors from the lowest to the highest.")
        else:
            return tuple(known)
        return None


class ScoopForm(PageForm):
    """A pile of flat scoops on the scale."""

    scoops = NumberField(
        "How many scoops", noun="how many scoops", low=1, high=1000, whole=True, required=True,
        description="20 are a good number. Flat, not heaped.",
    )  # fmt: skip
    grams = NumberField(
        "All together", noun="the weight in grams", low=0.001, high=1000, required=True
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class KitsPage:
    """The kits in use, those put away, and the form for one more."""

    tank: Tank
    kits: tuple[Kit, ...]
    away: tuple[Kit, ...]
    labels: dict[Quantity, str]
    form: KitForm
    today: date


@dataclass(frozen=True, slots=True, kw_only=True)
class ScoopPage:
    """What one scoop weighs, and the form to weigh it."""

    tank: Tank
    weight: str
    form: ScoopForm


@bp.route("/tank/<int:tank_id>/kits", methods=["GET", "POST"])
def kits(tank_id: int) -> ResponseReturnValue:
    """Show the kits; add one."""
    with database().reading() as session:
        site = sites.without_days(session, tank_id)
    today = local_day(now(), site.zone)
    form = KitForm()
    facts = form.facts(today) if form.is_submitted() else None
    if facts is not None:
        try:
            with database().writing() as session:
                kit_service.add_kit(session, site.id, facts)
        except Refused as refused:
            form.complain("name", str(refused))
        else:
            flash(f"Saved: {facts.name}.", "saved")
            return redirect(url_for("tank.kits", tank_id=tank_id), 303)
    with database().reading() as session:
        page = KitsPage(
            tank=tanks.tank(session, tank_id),
            kits=kit_service.kits(session, site.id),
            away=kit_service.kits(session, site.id, put_away=True),
            labels={q: f.label for q, f in FACTS.items()},
            form=form,
            today=today,
        )
    return render_template("tank/kits.html", page=page), 422 if form.is_submitted() else 200


@bp.route("/tank/<int:tank_id>/scoop", methods=["GET", "POST"])
def scoop(tank_id: int) -> ResponseReturnValue:
    """Weigh the scoop: scoops turn into grams from then on."""
    form = ScoopForm()
    if form.validate_on_submit():
        with database().writing() as session:
            grams = tanks.weigh_scoop(
                session, tank_id, form.grams.number or 0.0, int(form.scoops.number or 0), now=now()
            )
        flash(f"Saved: one flat scoop is {number(grams, 3)}{NBSP}g.", "saved")
        return redirect(url_for("tank.water", tank_id=tank_id), 303)
    with database().reading() as session:
        tank = tanks.tank(session, tank_id)
    weight = f"{number(tank.scoop_grams, 3)}{NBSP}g" if tank.scoop_grams else ""
    page = ScoopPage(tank=tank, weight=weight, form=form)
    return render_template("tank/scoop.html", page=page), 422 if form.is_submitted() else 200
