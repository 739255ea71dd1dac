"""Water change and top-up: the page is opened before the pour, so that it can ask in time."""

from dataclasses import dataclass
from typing import Any, Self

from flask import render_template, request
from flask.typing import ResponseReturnValue
from wtforms import BooleanField, SelectField, StringField
from wtforms.validators import Length

from app.domain.drafts import LONGEST_NOTE, MOST_LITERS, NewJob
from app.domain.guard import Blank, Impossible, Unusual, check
from app.domain.quantities import FACTS, Quantity
from app.domain.records import JobKind, Treated
from app.domain.tank import Site
from app.domain.wording import NBSP, degrees, degrees_apart, number, water_amount
from app.knowledge.model import Caution
from app.science.units import fahrenheit_from_celsius, us_gallons_from_liters
from app.services import changes, words
from app.services.changes import ChangePlan
from app.services.story import StoryLine
from app.web.fields import (
    WATER_UNITS,
    ChoiceField,
    LengthField,
    NumberField,
    chosen_unit,
    plain,
    reading_fields,
    unit_choices,
    with_fields,
)
from app.web.writing import bp
from app.web.writing.choose import Door, doors_for
from app.web.writing.desk import Desk, at_desk, values_of
from app.web.writing.saving import put_down, shown
from app.web.writing.shared import SharedForm
from app.web.writing.sheet import WritingForm

_TEMPERATURE = FACTS[Quantity.TEMPERATURE]
_CAUTIONS = ("water_change", "heater", "siphon", "hands", "untreated_water")
# what a page that worked the change out may fill in; readings of the water are never filled in
_PLANNED = ("liters_out", "liters_in", "volume_unit")
KINDS = {JobKind.WATER_CHANGE.value: "Water change", JobKind.TOP_UP.value: "Top-up only"}


class _ChangeForm(WritingForm, SharedForm):
    """Water out, water in, its warmth, and whether it was treated."""

    job = ChoiceField("What is it", noun="what it is", choices=KINDS)
    liters_out = NumberField("Water out", noun="the water out", low=0, high=MOST_LITERS)
    level_out = LengthField(
        "Or: how far the level went down", noun="the fall of the level in cm", low=0, high=200,
        description="Inches are read too: 3 in.",
    )  # fmt: skip
    liters_in = NumberField(
        "New water in", noun="the new water", low=0, high=MOST_LITERS,
        description="In the unit of the water out. Empty: filled up to where it stood before.",
    )  # fmt: skip
    volume_unit = SelectField("Unit of water", choices=WATER_UNITS)
    new_water = StringField(
        "How warm is the new water?", description="Measure in the bucket, before you pour."
    )
    new_water_unit = SelectField("Unit of the new water", choices=unit_choices(_TEMPERATURE))
    cold_known = BooleanField("I know it is colder. Write it down as it is.")
    treated = ChoiceField(
        "Was conditioner in it?",
        noun="whether conditioner was in it",
        choices={"yes": "Yes", "no": "No", "unknown": "Don’t know"},
    )
    note = StringField(
        "Note", [Length(max=LONGEST_NOTE, message=f"Use {LONGEST_NOTE} letters at most.")]
    )

    @classmethod
    def at(cls, desk: Desk, line: StoryLine | None = None) -> Self:
        """The form for this tank, empty or with what an entry says."""
        form = cls(data=_filled(desk, line))
        desk.ready(form, line)
        form.ask_shared(desk, line)
        return form

    def draft(self, desk: Desk) -> NewJob | None:
        """What was poured, or None with a sentence beside the field."""
        new_c = self._new_water_c()
        liters_out, liters_in = self._liters(desk)
        if self.errors:
            return None
        self._ask_about_cold_water(desk, new_c, liters_in)
        return NewJob(
            job=JobKind(self.job.data),
            liters_out=liters_out,
            liters_in=liters_in,
            treated=Treated(self.treated.data),
            new_water_c=new_c,
            note=self.text("note"),
        )

    def _liters(self, desk: Desk) -> tuple[float | None, float | None]:
        out = changes.liters(self.liters_out.number, self.volume_unit.data)
        poured = changes.liters(self.liters_in.number, self.volume_unit.data)
        if self.job.data == JobKind.TOP_UP.value:
            if poured is None and not self.liters_in.errors:
                self.complain("liters_in", "Enter how much water went in.")
            return None, poured
        if out is None and self.level_out.number is not None:
            out = changes.liters_of_level(desk.snapshot.tank.shape, self.level_out.number)
        if out is None and not self.liters_out.errors and not self.level_out.errors:
            self.complain("liters_out", "Enter how much water came out, or how far it fell.")
        net_l = changes.plan_of(desk.snapshot).net_l
        if out is not None and net_l is not None and out > net_l:
            held = water_amount(desk.site, net_l)
            self.complain("liters_out", f"The tank holds {held} in all.")
        return out, out if poured is None else poured

    def _new_water_c(self) -> float | None:
        unit = chosen_unit(_TEMPERATURE, self.new_water_unit.data)
        verdict = check(self.new_water.data or "", Quantity.TEMPERATURE, unit)
        if isinstance(verdict, Blank):
            return None
        if isinstance(verdict, Impossible):
            self.complain("new_water", verdict.message)
            self.offers["new_water"] = verdict.offers
            return None
        # tap water may well be far from what a tank shows: no second measurement
        return (verdict.held if isinstance(verdict, Unusual) else verdict.readings[0]).value

    def _ask_about_cold_water(
        self, desk: Desk, new_c: float | None, liters_in: float | None
    ) -> None:
        if new_c is None or self.cold_known.data:
            return
        typed = desk.temperature(self)
        tank_c = typed[0].value if typed else None
        cold = changes.cold_water(desk.snapshot, new_c, liters_in, tank_c)
        if cold is None:
            return
        site = desk.site
        said = f"The new water is {degrees_apart(site, cold.colder_c)} colder than the tank."
        if cold.mixed_c is not None:
            said += f" The tank would fall to {degrees(site, cold.mixed_c)}."
        self.asked.add("cold_known")
        self.complain("new_water", f"{said} Can you warm it first?")


ChangeForm = with_fields(
    _ChangeForm,
    "ChangeForm",
    reading_fields(
        Quantity.TEMPERATURE, "How warm is the tank?", "Leave it empty if you did not look."
    ),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangePage:
    """What the page shows."""

    desk: Desk
    form: Any
    doors: tuple[Door, ...]
    plan: ChangePlan
    plan_lines: tuple[tuple[str, str], ...]
    cautions: tuple[Caution, ...]


def _filled(desk: Desk, line: StoryLine | None) -> dict[str, Any]:
    site = desk.site
    wanted = request.args.get("job", JobKind.WATER_CHANGE.value)
    data: dict[str, Any] = {
        "temperature_unit": desk.temperature_unit,
        "new_water_unit": desk.temperature_unit,
        "volume_unit": "gal" if site.us_gallons else "L",
        "job": wanted if wanted in KINDS else JobKind.WATER_CHANGE.value,
    }
    data |= {name: request.args[name] for name in _PLANNED if name in request.args}
    if line is not None:
        detail = line.detail
        data |= {
            "job": detail.job,
            "liters_out": _poured(site, detail.liters_out),
            "liters_in": _poured(site, detail.liters_in),
            "new_water": _read(site, detail.new_water_c),
            "cold_known": True,
            "treated": detail.treated,
            "note": detail.note,
        }
    return data | values_of(line)


def _poured(site: Site, liters: float | None) -> str:
    """Liters as they stand in the field, in the unit of the household's buckets."""
    if liters is None:
        return ""
    return plain(round(us_gallons_from_liters(liters) if site.us_gallons else liters, 2))


def _read(site: Site, celsius: float | None) -> str:
    """A temperature as it stands in the field, in the unit of the household's thermometer."""
    if celsius is None:
        return ""
    return plain(round(fahrenheit_from_celsius(celsius) if site.fahrenheit else celsius, 1))


def lines_of(plan: ChangePlan, site: Site) -> tuple[tuple[str, str], ...]:
    """The plan as (name, value) lines for the page."""
    lines = [("Planned share", f"{number(plan.percent, 1)}{NBSP}% of the water")]
    if plan.liters is not None and plan.level_cm is not None:
        lines.append(("That is", water_amount(site, plan.liters)))
        lines.append(("The level falls by", f"{number(plan.level_cm, 1)}{NBSP}cm"))
    if plan.lowest_new_c is not None:
        drop = degrees_apart(site, plan.allowed_drop_c)
        lowest = degrees(site, plan.lowest_new_c)
        lines.append(("New water at least", f"{lowest}, so that the tank falls by {drop} at most"))
    return tuple(lines)


@bp.route("/tank/<int:tank_id>/change", methods=["GET", "POST"])
def change(tank_id: int) -> ResponseReturnValue:
    """A water change or a top-up."""
    desk = at_desk(tank_id)
    form = ChangeForm.at(desk)
    if form.is_submitted() and (sheet := form.sheet(desk)):
        return put_down(desk, form, sheet)
    plan = changes.plan_of(desk.snapshot)
    page = ChangePage(
        desk=desk,
        form=form,
        doors=doors_for(tank_id),
        plan=plan,
        plan_lines=lines_of(plan, desk.site),
        cautions=words.cautions(_CAUTIONS),
    )
    return render_template("writing/change.html", page=page), shown(form)
