"""Place and people: heater and cover, the room and its sun, who is in charge, the food."""

from dataclasses import dataclass, replace
from datetime import datetime, time
from typing import Any, Self

from flask import flash, redirect, render_template
from flask.typing import ResponseReturnValue
from wtforms import BooleanField, StringField
from wtforms.validators import Length, Optional

from app.domain.errors import Refused
from app.domain.quantities import Quantity, Unit
from app.domain.tank import Site, Tank, TankFacts
from app.services import sites, tanks
from app.web.fields import ChoiceField, NumberField, PageForm, TimeOfDayField, plain, with_fields
from app.web.request import database
from app.web.tank import bp
from app.web.tank.after import after_saving

COVERS = {
    "": "Not written",
    "closed": "A lid, closed",
    "gap": "A lid with a gap for air",
    "open": "No lid",
}
_TEXTS = ("room", "round", "adult", "adult_phone", "deputy", "deputy_phone")
# what heaters and rooms have, in °C; only against typing errors
_HEATER_C = (10.0, 35.0)
_ROOM_C = (-10.0, 40.0)


def _short(most: int) -> list[Length]:
    return [Length(max=most, message=f"Use {most} letters at most.")]


class PlaceForm(PageForm):
    """What stands around the tank; the fields with a temperature come from `_form_class`."""

    has_heater = BooleanField("It has a heater")
    cover = ChoiceField(
        "How is it covered", noun="how it is covered", choices=COVERS, default="",
        description="A lid keeps animals in and warmth too. Under it air must come to the water.",
    )  # fmt: skip
    sun_from = TimeOfDayField("The sun reaches the glass at", [Optional()])
    sun_until = TimeOfDayField(
        "The sun leaves the glass at", [Optional()],
        description="Leave both empty when it never does, or when nobody has looked.",
    )  # fmt: skip
    room = StringField("Room", _short(40), description="As the door says it.")
    round = StringField(
        "Technician round", _short(40),
        description="The same word on all tanks that are served on one way.",
    )  # fmt: skip
    adult = StringField("Adult in charge", _short(80), description="Also in the breaks.")
    adult_phone = StringField("Phone", _short(40))
    deputy = StringField("Deputy", _short(80), description="When the other one cannot come.")
    deputy_phone = StringField("Phone of the deputy", _short(40))
    food_protein_percent = NumberField(
        "Protein in the food", noun="the protein in percent", low=0, high=100,
        description="It stands on the box, often as crude protein. Empty: a usual food.",
    )  # fmt: skip

    @classmethod
    def at(cls, tank: Tank, site: Site) -> Self:
        """The form with what is known."""
        unit = site.unit_of(Quantity.TEMPERATURE)
        data = {name: getattr(tank, name) for name in ("has_heater", "cover", *_TEXTS)}
        warm = {
            name: "" if kept is None else plain(round(unit.from_kept(kept), 2))
            for name, kept in (
                ("set_point_c", tank.set_point_c),
                ("coldest_room_c", tank.coldest_room_c),
            )
        }
        sun = {n: _time(getattr(tank, n)) for n in ("sun_from", "sun_until")}
        protein = {"food_protein_percent": plain(tank.food_protein_percent)}
        return cls(data=data | warm | sun | protein)

    def draft(self, tank: Tank, site: Site) -> TankFacts | None:
        """What was typed, or None with sentences beside the fields."""
        self.validate()
        for here, there in (("sun_from", "sun_until"), ("sun_until", "sun_from")):
            if self[here].data and not self[there].data and not self[there].errors:
                self.complain(there, "Enter both times, or none.")
        comes, leaves = self.sun_from.data, self.sun_until.data
        if comes and leaves and leaves <= comes:
            self.complain("sun_until", "The sun leaves after it comes. Enter a later time.")
        if self.errors:
            return None
        unit = site.unit_of(Quantity.TEMPERATURE)
        return replace(
            tank.facts,
            set_point_c=self._celsius("set_point_c", unit),
            coldest_room_c=self._celsius("coldest_room_c", unit),
            has_heater=self.has_heater.data,
            cover=self.cover.data,
            sun_from=_clock(self.sun_from.data),
            sun_until=_clock(self.sun_until.data),
            room=self.text("room"),
            round=self.text("round"),
            adult=self.text("adult"),
            adult_phone=self.text("adult_phone"),
            deputy=self.text("deputy"),
            deputy_phone=self.text("deputy_phone"),
            food_protein_percent=self.food_protein_percent.number,
        )

    def _celsius(self, name: str, unit: Unit) -> float | None:
        typed = self[name].number
        return None if typed is None else round(unit.to_kept(typed), 3)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacePage:
    """The form of one tank, the sign of its temperatures, and whether it stands in a class."""

    tank: Tank
    form: Any
    unit: str
    in_class: bool
    elevation: str


def place_form(tank: Tank, site: Site) -> Any:
    """The form with the temperatures in the unit that the site reads."""
    unit = site.unit_of(Quantity.TEMPERATURE)

    def warmth(label: str, noun: str, limits: tuple[float, float], hint: str) -> NumberField:
        low, high = (round(unit.from_kept(end), 1) for end in limits)
        return NumberField(label, noun=noun, low=low, high=high, description=hint)

    fields = {
        "set_point_c": warmth(
            "Heater set to", f"what the heater is set to in {unit.symbol}", _HEATER_C,
            "What its dial says. Empty: nobody looked, or there is no heater.",
        ),
        "coldest_room_c": warmth(
            "Coldest hour of the room", f"how cold the room gets in {unit.symbol}", _ROOM_C,
            "In the week when it is coldest. Often early on Monday, in a school.",
        ),
    }  # fmt: skip
    return with_fields(PlaceForm, "TankPlaceForm", fields).at(tank, site)


@bp.route("/tank/<int:tank_id>/place", methods=["GET", "POST"])
def place(tank_id: int) -> ResponseReturnValue:
    """Show or change what stands around the tank, and who is in charge of it."""
    with database().reading() as session:
        tank, site = tanks.tank(session, tank_id), sites.site(session, tank_id)
    form = place_form(tank, site)
    draft = form.draft(tank, site) if form.is_submitted() else None
    if draft is not None:
        try:
            with database().writing() as session:
                tanks.change_tank(session, tank_id, draft)
        except Refused as refused:
            form.complain("has_heater", str(refused))
        else:
            flash("Place and people are saved.", "saved")
            return redirect(after_saving(tank_id), 303)
    page = PlacePage(
        tank=tank,
        form=form,
        unit=site.unit_of(Quantity.TEMPERATURE).symbol,
        in_class=tank.setting == "class",
        elevation="" if site.elevation_m is None else f"{site.elevation_m:g}",
    )
    return render_template("tank/place.html", page=page), 422 if form.is_submitted() else 200


def _time(clock: str) -> time | None:
    return datetime.strptime(clock, "%H:%M").time() if clock else None  # noqa: DTZ007


def _clock(at: time | None) -> str:
    return at.strftime("%H:%M") if at else ""
