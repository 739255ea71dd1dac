"""The tank by its measures: Water and kit with the drawing and the working, new, change."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any, Self

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from wtforms import BooleanField, StringField
from wtforms.validators import Length, Optional

from app.domain.calendar import local_day
from app.domain.entry_words import scoop_words
from app.domain.errors import Refused
from app.domain.kit import Kit
from app.domain.livestock import StockGroup
from app.domain.tank import Site, Tank, TankFacts, TankForm, TankShape
from app.domain.wording import NBSP, count, number
from app.services import measures, own_species, sites, tanks, tasks
from app.services.measures import Drawing, VolumeShown
from app.services.workings.glass import FORMS, refuse_too_high
from app.services.workings.model import CannotWork
from app.web.fields import (
    ChoiceField,
    DayField,
    LengthField,
    NumberField,
    PageForm,
    TimeOfDayField,
    VolumeField,
    plain,
)
from app.web.request import database, now, show_state
from app.web.tank import bp
from app.web.tank.after import after_saving
from app.web.where import place_of_page

SETTINGS = {"home": "At home", "class": "In a class"}
_NEXT = (
    "A new tank goes on with “Starting, step by step”. "
    "Animals live here already? Write down them and the test kits."
)


def _cm(label: str, noun: str, high: float, description: str = "", **more: Any) -> LengthField:
    return LengthField(
        label, noun=f"{noun} in cm", low=0, high=high, description=description, **more
    )


class MeasuresForm(PageForm):
    """Inside measures of the glass, and what else is known about the tank."""

    name = StringField("Name of the tank", [Length(max=80, message="Use 80 letters at most.")])
    setting = ChoiceField("Where is it", noun="where it is", choices=SETTINGS, default="home")
    shape = ChoiceField(
        "Shape of the glass", noun="the shape of the glass", choices=FORMS,
        default=TankForm.BOX.value,
    )  # fmt: skip
    length_cm = _cm(
        "Length", "the length", 1000,
        "Ruler inside the glass. Cylinder and bowl: the widest diameter. Six-sided: pane to "
        "opposite pane.", required=True,
    )  # fmt: skip
    width_cm = _cm(
        "Front to back", "the width", 1000,
        "Box and bow front only. Of a bow front at its ends.",
    )  # fmt: skip
    bow_cm = _cm("How far the front bows out", "the bow", 500, "Bow front only.")
    base_cm = _cm(
        "Flat bottom", "the diameter of the flat bottom", 1000, "Bowl only: its inside diameter."
    )
    rim_cm = _cm("Rim, from the bottom glass", "the height of the rim", 500)
    water_depth_cm = _cm(
        "Water, from the bottom glass to the water line", "the depth of the water", 500
    )
    sand_front_cm = _cm(
        "Sand at the front glass", "the sand at the front", 200, "From the bottom glass up."
    )
    sand_back_cm = _cm("Sand at the back glass", "the sand at the back", 200)
    pores = NumberField(
        "Water between the grains", noun="the share of pores in percent", low=0, high=99,
        description="40 % is usual for washed sand and gravel.",
    )  # fmt: skip
    displacement_l = VolumeField(
        "Stones, wood and gear", noun="what stones and gear take, in liters", low=0, high=5000,
        description="Put them in a full bucket and catch what runs over. US gallons are read "
        "too: 0.5 gal.",
    )  # fmt: skip
    has_heater = BooleanField("It has a heater")
    heater_line_cm = _cm(
        "Lowest water line of the heater", "the heater’s line", 500,
        "From the bottom glass. The mark stands on the heater.",
    )  # fmt: skip
    started_on = DayField("Filled on", [Optional()])
    mature_on = DayField(
        "Filter mature since", [Optional()],
        description="Leave it empty until ammonia and nitrite stayed clean.",
    )  # fmt: skip
    light_on = TimeOfDayField("Light goes on at", [Optional()])
    light_hours = NumberField("Light stays on", noun="the hours of light", low=0, high=24)

    @classmethod
    def at(cls, tank: Tank | None) -> Self:
        """The form, empty or with what is known."""
        return cls(data=_filled(tank))

    def draft(self, tank: Tank | None, today: date) -> TankFacts | None:
        """What was typed, with the rest as it is; None with sentences beside the fields."""
        self.validate()
        if not self.text("name"):
            self.complain("name", "Enter a name for the tank.")
        self.refuse_coming(today, "started_on", "mature_on")
        if self.errors:
            return None
        shape = self._shape()
        known = tank.facts if tank else TankFacts(name="", shape=shape)
        draft = replace(
            known,
            name=self.text("name"),
            setting=self.setting.data,
            shape=shape,
            started_on=self.started_on.data,
            mature_on=self.mature_on.data,
            light_on=self.light_on.data.strftime("%H:%M") if self.light_on.data else "",
            light_hours=self.light_hours.number,
            has_heater=self.has_heater.data,
        )
        self._compare(draft.shape)
        return None if self.errors else draft

    def _shape(self) -> TankShape:
        pores = self.pores.number
        form, length = TankForm(self.shape.data), self.length_cm.number or 0.0
        has_width = form in {TankForm.BOX, TankForm.BOW_FRONT}
        return TankShape(
            form=form,
            length_cm=length,
            width_cm=(self.width_cm.number or 0.0) if has_width else length,
            bow_cm=(self.bow_cm.number or 0.0) if form is TankForm.BOW_FRONT else 0.0,
            base_cm=(self.base_cm.number or 0.0) if form is TankForm.BOWL else 0.0,
            rim_cm=self.rim_cm.number,
            water_depth_cm=self.water_depth_cm.number,
            sand_front_cm=self.sand_front_cm.number,
            sand_back_cm=self.sand_back_cm.number,
            sand_pore_share=measures.share_of(40.0 if pores is None else pores),
            displacement_l=self.displacement_l.number or 0.0,
            heater_line_cm=self.heater_line_cm.number,
        )

    def _compare(self, shape: TankShape) -> None:
        self._compare_glass(shape)
        rim, depth = shape.rim_cm, shape.water_depth_cm
        if rim is not None and depth is not None and depth > rim:
            self.complain("water_depth_cm", "The water cannot stand higher than the rim.")
        if not self.errors:
            try:
                refuse_too_high(shape)
            except CannotWork as refused:
                self.complain(f"{refused.name}_cm", str(refused))
        if depth is not None and not self.errors and measures.volume_shown(shape) is None:
            self.complain("displacement_l", "These measures leave no water in the tank.")

    def _compare_glass(self, shape: TankShape) -> None:
        for name, cm in (("length_cm", shape.length_cm), ("width_cm", shape.width_cm)):
            if not cm and self[name].number is None:
                self.complain(name, f"Enter {self[name].noun}.")
            elif not cm:
                self.complain(name, "Enter more than 0.")
        if shape.form is TankForm.BOW_FRONT and not 0 < shape.bow_cm <= shape.length_cm / 2:
            self.complain("bow_cm", "Enter more than 0 and at most half the length.")
        if shape.form is TankForm.BOWL and self.base_cm.number is None:
            self.complain("base_cm", "Enter the diameter of the flat bottom.")
        if shape.base_cm > shape.length_cm:
            self.complain("base_cm", "The bottom cannot be wider than the bowl.")


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuresPage:
    """The form with the working of what stands in it."""

    form: MeasuresForm
    shown: VolumeShown | None
    tank: Tank | None


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterPage:
    """Water and kit: everything that is known about the tank, and where to change it."""

    tank: Tank
    shown: VolumeShown | None
    drawing: Drawing | None
    groups: tuple[StockGroup, ...]
    kits: tuple[Kit, ...]
    facts: tuple[tuple[str, str], ...]
    today: date


def _filled(tank: Tank | None) -> dict[str, Any]:
    if tank is None:
        return {"pores": "40", "has_heater": True}
    shape = tank.shape
    known = ("length_cm", "width_cm", "bow_cm", "base_cm", "rim_cm", "water_depth_cm",
             "sand_front_cm", "sand_back_cm", "displacement_l", "heater_line_cm")  # fmt: skip
    only = {
        "width_cm": {TankForm.BOX, TankForm.BOW_FRONT},
        "bow_cm": {TankForm.BOW_FRONT},
        "base_cm": {TankForm.BOWL},
    }
    measured = {n: plain(getattr(shape, n)) for n in known if shape.form in only.get(n, FORMS)}
    return (
        dict.fromkeys(only, "")
        | measured
        | {
            "name": tank.name,
            "setting": tank.setting,
            "shape": shape.form.value,
            "pores": plain(measures.percent_of(shape.sand_pore_share)),
            "has_heater": tank.has_heater,
            "started_on": tank.started_on,
            "mature_on": tank.mature_on,
            "light_on": datetime.strptime(tank.light_on, "%H:%M").time() if tank.light_on else None,  # noqa: DTZ007
            "light_hours": plain(tank.light_hours),
        }
    )


def _form_page(
    form: MeasuresForm, tank: Tank | None, draft: TankFacts | None
) -> ResponseReturnValue:
    shape = draft.shape if draft else tank.shape if tank and not form.is_submitted() else None
    page = MeasuresPage(form=form, shown=measures.volume_shown(shape) if shape else None, tank=tank)
    status = 422 if form.is_submitted() and draft is None else 200
    return render_template("tank/measures.html", page=page), status


def _today(place: Site) -> date:
    """The day where the tank stands."""
    return local_day(now(), place.zone)


def _wants_working() -> bool:
    return request.form.get("work") == "out"


@bp.route("/tank/new", methods=["GET", "POST"])
def new() -> ResponseReturnValue:
    """A new tank from its measures."""
    with database().reading() as session:
        place = place_of_page(session)
    form = MeasuresForm.at(None)
    draft = form.draft(None, _today(place)) if form.is_submitted() else None
    if draft is not None and not _wants_working():
        try:
            with database().writing() as session:
                tank_id = tanks.add_tank(session, draft, site_id=place.id)
        except Refused as refused:
            form.complain("name", str(refused))
            return _form_page(form, None, None)
        flash(f"{draft.name} is set up. {_NEXT}", "saved")
        return redirect(url_for("tank.water", tank_id=tank_id), 303)
    return _form_page(form, None, draft)


@bp.route("/tank/<int:tank_id>/measures", methods=["GET", "POST"])
def change(tank_id: int) -> ResponseReturnValue:
    """Change the measures; the page before says what that does to the volume."""
    with database().reading() as session:
        tank, place = tanks.tank(session, tank_id), sites.without_days(session, tank_id)
    form = MeasuresForm.at(tank)
    draft = form.draft(tank, _today(place)) if form.is_submitted() else None
    if draft is not None and not _wants_working():
        try:
            with database().writing() as session:
                tanks.change_tank(session, tank_id, draft)
        except Refused as refused:
            form.complain("name", str(refused))
            return _form_page(form, tank, None)
        flash(_what_changed(form, _filled(tank), draft.shape, tank.shape), "saved")
        return redirect(after_saving(tank_id), 303)
    return _form_page(form, tank, draft)


def _what_changed(
    form: MeasuresForm, before: Mapping[str, Any], shape: TankShape, old: TankShape
) -> str:
    moved = [
        f"{field.label.text}: {before[field.name] or 'not known'} → {field.data or 'not known'}"
        for field in form
        if isinstance(field, NumberField) and field.data != before[field.name]
    ]
    text = f"Saved. {'; '.join(moved)}." if moved else "Saved."
    was, is_now = measures.volume_shown(old), measures.volume_shown(shape)
    if moved and was and is_now and was.net_text != is_now.net_text:
        text += f" Water in the tank: {was.net_text} → {is_now.net_text}."
    return text


@bp.get("/tank/<int:tank_id>/set-up")
def water(tank_id: int) -> ResponseReturnValue:
    """Water and kit: the tank from the front, the working, animals, kits, plan."""
    with database().reading() as session:
        snapshot, evaluation = tasks.look(session, [tank_id], now=now())[tank_id]
        knowledge = own_species.known(session, snapshot.site.id)
    show_state(evaluation)
    tank = snapshot.tank
    page = WaterPage(
        tank=tank,
        shown=measures.volume_shown(tank.shape),
        drawing=measures.drawn(tank, snapshot.groups, knowledge, "front"),
        groups=snapshot.groups,
        kits=tuple(k for k in snapshot.kits if k.retired_on is None),
        facts=_facts(tank),
        today=snapshot.today,
    )
    return render_template("tank/water.html", page=page)


def _facts(tank: Tank) -> tuple[tuple[str, str], ...]:
    plan = tank.plan
    scoop = f"{number(tank.scoop_grams, 3)}{NBSP}g" if tank.scoop_grams else "not weighed yet"
    scoops = scoop_words(plan.portion_scoops)
    share = f"{number(plan.water_change_percent, 1)}{NBSP}%"
    light = f"{number(tank.light_hours, 1)} hours a day" if tank.light_hours else "not written"
    return (
        ("One flat scoop", scoop),
        ("Food on", f"{count(len(plan.feed_weekdays), 'day', 'days')} a week, {scoops}"),
        ("Water change", f"{share} every {plan.water_change_days} days"),
        ("Test every", f"{plan.test_days} days"),
        ("Filter rinse every", f"{plan.filter_rinse_days} days"),
        ("Light", light),
    )
