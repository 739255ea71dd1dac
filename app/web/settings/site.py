"""The household or school: name, time zone, units, and the days on which somebody comes."""

import zoneinfo
from dataclasses import dataclass
from typing import Any, Self

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import SelectMultipleField, StringField
from wtforms.validators import Length
from wtforms.widgets import CheckboxInput

from app.domain.errors import Refused
from app.domain.tank import DayKind, Site
from app.domain.wording import count
from app.services import sites
from app.services.sites import SiteDraft
from app.web.fields import WEEKDAYS, ChoiceField, NumberField, PageForm, plain
from app.web.request import database
from app.web.settings import bp
from app.web.where import place_of_page


def zone_from(typed: str) -> str | None:
    """The time zone somebody means by its full name or its place; None if it is not plain.

    "New York", "new_york" and "America/New_York" all mean the same.
    """
    wanted = "_".join(typed.split()).casefold()
    known = {zone.casefold(): zone for zone in zoneinfo.available_timezones()}
    if wanted in known:
        return known[wanted]
    places = sorted(zone for name, zone in known.items() if name.rsplit("/", 1)[-1] == wanted)
    return places[0] if wanted and places else None


class SiteForm(PageForm):
    """What holds for all tanks of one place."""

    name = StringField("Household or school", [Length(max=80, message="Use 80 letters at most.")])
    zone = StringField(
        "Time zone", description="The nearest large city, such as New York or Europe/Berlin."
    )
    present_weekdays = SelectMultipleField(
        "Somebody comes on", choices=WEEKDAYS, option_widget=CheckboxInput(),
        description="On other days nothing is asked and nothing counts as forgotten.",
    )  # fmt: skip
    warmth = ChoiceField(
        "Thermometer in", noun="°C or °F", choices={"c": "°C", "f": "°F"}, default="c"
    )
    volume = ChoiceField(
        "Buckets in", noun="liters or gallons",
        choices={"l": "Liters", "gal": "US gallons"}, default="l",
    )  # fmt: skip
    elevation_m = NumberField(
        "Height above the sea", noun="the height above the sea in meters", low=-450, high=5500,
        description="A map tells it. Higher up, water holds less oxygen. Empty: not known.",
    )  # fmt: skip
    chloramine = ChoiceField(
        "Is there chloramine in the tap water?", noun="whether there is chloramine",
        choices={"yes": "Yes", "no": "No", "unknown": "Don’t know"}, default="unknown",
        description="The water works knows. Unlike chlorine it does not leave by standing.",
    )  # fmt: skip

    @classmethod
    def at(cls, site: Site) -> Self:
        """The form with what is known."""
        return cls(
            data={
                "name": site.name,
                "zone": site.zone,
                "present_weekdays": [str(d) for d in sorted(site.present_weekdays)],
                "warmth": "f" if site.fahrenheit else "c",
                "volume": "gal" if site.us_gallons else "l",
                "chloramine": site.chloramine,
                "elevation_m": plain(site.elevation_m),
            }
        )

    def draft(self) -> SiteDraft | None:
        """What was typed, or None with sentences beside the fields."""
        self.validate()
        if not self.text("name"):
            self.complain("name", "Enter a name for the household or the school.")
        zone = zone_from(self.zone.data or "")
        if zone is None:
            self.complain("zone", "Enter the time zone by a large city, such as New York.")
        if self.errors or zone is None:
            return None
        return SiteDraft(
            name=self.text("name"),
            zone=zone,
            present_weekdays=frozenset(int(d) for d in self.present_weekdays.data or ()),
            fahrenheit=self.warmth.data == "f",
            us_gallons=self.volume.data == "gal",
            chloramine=self.chloramine.data,
            elevation_m=self.elevation_m.number,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class SettingsPage:
    """A settings page of a place: its form, and the days out of the ordinary in words."""

    form: Any
    days: tuple[str, ...] = ()


@bp.route("/settings", methods=["GET", "POST"])
def site() -> ResponseReturnValue:
    """Show or change what holds for all tanks."""
    with database().reading() as session:
        place = place_of_page(session)
        known = sites.place(session, place.id)
    form = SiteForm.at(place)
    draft = form.draft() if form.is_submitted() else None
    if draft is not None:
        try:
            with database().writing() as session:
                sites.set_site(session, draft, place.id)
        except Refused as refused:
            form.complain("name", str(refused))
        else:
            flash("The settings are saved.", "saved")
            return redirect(url_for("settings.site"), 303)
    page = SettingsPage(form=form, days=_counted(known))
    return render_template("settings/site.html", page=page), 422 if form.is_submitted() else 200


def _counted(site: Site) -> tuple[str, ...]:
    """How many breaks, holidays, staff days and hours with less heating are written."""
    of = {kind: sum(days.kind is kind for days in site.breaks) for kind in DayKind}
    words = (
        (of[DayKind.BREAK], "break", "breaks"),
        (of[DayKind.HOLIDAY], "holiday", "holidays"),
        (of[DayKind.STAFF], "time of staff days", "times of staff days"),
        (len(site.setbacks), "time with less heating", "times with less heating"),
    )
    return tuple(count(number, one, many) for number, one, many in words if number)
