"""One test kit: what is known of it, and what it showed of something known."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any, Final

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import SelectField, StringField
from wtforms.validators import Length, Optional

from app.domain.calendar import local_day
from app.domain.errors import Refused
from app.domain.guard import Impossible, Taken, check
from app.domain.kit import Kit
from app.domain.quantities import FACTS, Quantity
from app.domain.tank import Site, Tank
from app.domain.wording import with_unit
from app.knowledge.model import Caution
from app.services import comparisons, sites, tanks, words
from app.services import kits as kit_service
from app.services.comparisons import ICE_WATER, ComparisonDraft, ComparisonSheet
from app.web.fields import (
    ChoiceField,
    DayField,
    PageForm,
    chosen_unit,
    plain,
    unit_choices,
    unit_key,
    unit_name,
    with_fields,
)
from app.web.request import database, now
from app.web.tank import bp
from app.web.tank.kits import KitForm
from app.web.task_card import source_words

_WHICH: Final = 50
_WARMTH: Final[Mapping[str, str]] = {
    ICE_WATER: "Ice water",
    "another thermometer": "A thermometer that we trust",
}
_LIQUIDS: Final[Mapping[str, str]] = {
    "a known liquid": "A liquid whose value is known",
    "another kit": "Another kit or meter that we trust",
}


class ComparisonForm(PageForm):
    """A kit held against something known; `known` and `read` come with the kit."""

    how = ChoiceField("Held against what", noun="what it was held against")
    which = StringField(
        "Which one", [Length(max=_WHICH, message=f"Use {_WHICH} letters at most.")],
        description="Such as the name on it, and its lot.",
    )  # fmt: skip
    next_check_on = DayField(
        "Next check", [Optional()], description="A reminder comes up on To do on this day."
    )

    def draft(self, kit: Kit) -> ComparisonDraft | None:
        """What was typed, in the kept unit, or None with sentences beside the fields."""
        self.validate()
        ice = self.how.data == ICE_WATER
        known = self._known_of_ice(kit) if ice else self._value("known", kit, "what was known")
        read = self._value("read", kit, "what it showed")
        if self.errors or known is None or read is None:
            return None
        which = self.text("which")
        return ComparisonDraft(
            known=known,
            read=read,
            against=f"{self.how.data}: {which}" if which else self.how.data,
            next_check_on=self.next_check_on.data,
        )

    def _value(self, name: str, kit: Kit, noun: str) -> float | None:
        # a card has no unit to choose: its colors stand in its own
        own = unit_name(name) not in self
        key = unit_key(kit.unit, kit.basis) if own else self[unit_name(name)].data
        unit = chosen_unit(FACTS[kit.quantity], key)
        verdict = check(self[name].data or "", kit.quantity, unit, sample=True)
        if isinstance(verdict, Taken):
            return verdict.middle
        if isinstance(verdict, Impossible):
            self.complain(name, verdict.message)
            self.offers[name] = verdict.offers
        else:
            self.complain(name, f"Enter {noun}.")
        return None

    def _known_of_ice(self, kit: Kit) -> float | None:
        ice = comparisons.ice_water_celsius()
        if self.text("known") and self._value("known", kit, "") not in {None, ice}:
            ice_words = comparisons.ice_water_words()
            self.complain("known", f"Ice water is {ice_words}. Leave this empty.")
        return ice


def _comparison_form(kit: Kit, today: date) -> Any:
    """The form for this kit: colors to choose from where it has a card, else a number."""
    facts = FACTS[kit.quantity]
    warmth = kit.quantity is Quantity.TEMPERATURE
    units = unit_choices(facts)
    own = unit_key(kit.unit, kit.basis)
    unit = SelectField(f"Unit of {facts.label}", choices=units, default=own)
    fields: dict[str, Any] = {
        "known": StringField(
            "What was known",
            description=f"Leave it empty for ice water: that is {comparisons.ice_water_words()}."
            if warmth
            else "It stands on the bottle, or the other kit shows it.",
        ),
        unit_name("known"): unit,
    }
    if kit.steps:
        colors = {
            plain(s): with_unit(plain(s), f"{kit.unit} {kit.basis}".strip()) for s in kit.steps
        }
        fields["read"] = SelectField(
            "Which color it showed", choices={"": "Choose the nearest color"} | colors
        )
    else:
        fields["read"] = StringField("What it showed")
        fields[unit_name("read")] = SelectField(
            f"Unit of {facts.label}, as shown", choices=units, default=own
        )
    form = with_fields(ComparisonForm, "KitComparisonForm", fields)(
        data={"next_check_on": comparisons.next_check_day(today)}
    )
    form.how.choices = dict(_WARMTH if warmth else _LIQUIDS)
    return form


@dataclass(frozen=True, slots=True, kw_only=True)
class KitPage:
    """One kit with its comparisons and the form that changes it.

    `limit` is how far off it may be, and where that number comes from.
    """

    tank: Tank
    kit: Kit
    form: KitForm
    sheet: ComparisonSheet
    limit: tuple[str, str]
    today: date


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparePage:
    """The form for a comparison, with how it is done and what to beware of."""

    tank: Tank
    kit: Kit
    form: Any
    warmth: bool
    cautions: tuple[Caution, ...]


@bp.route("/tank/<int:tank_id>/kits/<int:kit_id>", methods=["GET", "POST"])
def kit(tank_id: int, kit_id: int) -> ResponseReturnValue:
    """Show one kit; change what is known of it."""
    with database().reading() as session:
        site, tank = sites.site(session, tank_id), tanks.tank(session, tank_id)
        known = kit_service.kit(session, site.id, kit_id)
        made = comparisons.comparisons(session, kit_id)
    today = local_day(now(), site.zone)
    form = KitForm.of(known)
    facts = form.facts(today) if form.is_submitted() else None
    if facts is not None:
        try:
            with database().writing() as session:
                kit_service.change_kit(session, kit_id, facts)
        except Refused as refused:
            form.complain("name", str(refused))
        else:
            flash(f"Saved: {facts.name}.", "saved")
            return redirect(url_for("tank.kit", tank_id=tank_id, kit_id=kit_id), 303)
    sheet = comparisons.sheet(known, made, site)
    page = KitPage(
        tank=tank,
        kit=known,
        form=form,
        sheet=sheet,
        limit=(sheet.limit.said(fahrenheit=site.fahrenheit), source_words(sheet.limit)),
        today=today,
    )
    return render_template("tank/kit.html", page=page), 422 if form.is_submitted() else 200


@bp.route("/tank/<int:tank_id>/kits/<int:kit_id>/compare", methods=["GET", "POST"])
def compare(tank_id: int, kit_id: int) -> ResponseReturnValue:
    """Write down what a kit showed of something known."""
    with database().reading() as session:
        site, tank = sites.without_days(session, tank_id), tanks.tank(session, tank_id)
        known = kit_service.kit(session, site.id, kit_id)
    today = local_day(now(), site.zone)
    form = _comparison_form(known, today)
    draft = form.draft(known) if form.is_submitted() else None
    if draft is not None:
        try:
            with database().writing() as session:
                comparisons.compare_kit(session, kit_id, draft, now=now())
        except Refused as refused:
            form.complain("read", str(refused))
        else:
            flash("Saved. No reading is changed by it.", "saved")
            return redirect(url_for("tank.kit", tank_id=tank_id, kit_id=kit_id), 303)
    warmth = known.quantity is Quantity.TEMPERATURE
    page = ComparePage(
        tank=tank,
        kit=known,
        form=form,
        warmth=warmth,
        cautions=() if warmth else words.cautions(("test_kits",)),
    )
    return render_template("tank/compare.html", page=page), 422 if form.is_submitted() else 200


@bp.post("/tank/<int:tank_id>/kits/<int:kit_id>/compare/<int:comparison_id>/strike")
def strike_comparison(tank_id: int, kit_id: int, comparison_id: int) -> ResponseReturnValue:
    """Strike a comparison that was written by mistake."""
    _of_place(tank_id, kit_id)
    with database().writing() as session:
        comparisons.remove_comparison(session, kit_id, comparison_id)
    flash("The comparison is struck.", "saved")
    return redirect(url_for("tank.kit", tank_id=tank_id, kit_id=kit_id), 303)


@bp.post("/tank/<int:tank_id>/kits/<int:kit_id>/put-away")
def put_kit_away(tank_id: int, kit_id: int) -> ResponseReturnValue:
    """A kit that is used up: its readings stay."""
    site = _of_place(tank_id, kit_id)
    with database().writing() as session:
        kit_service.retire_kit(session, kit_id, local_day(now(), site.zone))
    flash("The kit is put away. Its readings stay.", "saved")
    return redirect(url_for("tank.kits", tank_id=tank_id), 303)


@bp.post("/tank/<int:tank_id>/kits/<int:kit_id>/use-again")
def use_kit_again(tank_id: int, kit_id: int) -> ResponseReturnValue:
    """Use a kit again that was put away."""
    _of_place(tank_id, kit_id)
    with database().writing() as session:
        kit_service.bring_back(session, kit_id)
    flash("The kit is in use again.", "saved")
    return redirect(url_for("tank.kit", tank_id=tank_id, kit_id=kit_id), 303)


def _of_place(tank_id: int, kit_id: int) -> Site:
    """The place of a tank whose kit it is.

    Raises:
        NotFound: If it is the kit of no place, or of another.
    """
    with database().reading() as session:
        site = sites.without_days(session, tank_id)
        kit_service.kit(session, site.id, kit_id)
    return site
