"""Where things are, and whom to call: short texts for this tank's papers."""

from dataclasses import dataclass
from typing import Any

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import StringField
from wtforms.validators import Length

from app.domain.tank import Tank
from app.services import tanks
from app.services.papers import texts
from app.services.sharing.sitter_sheet import LEAVE_ALONE, LONGEST_TEXT, TANK_TEXTS
from app.services.sharing.sitter_usual import COME_UP, FEEDING, HUMS, SOUND
from app.web.fields import PageForm, with_fields
from app.web.request import database
from app.web.share import bp

_USUAL = (FEEDING, SOUND)
_HINTS = {
    "packets": "Such as: top drawer, numbered.",
    "outlet": "Such as: left of the door, the breaker above it.",
    "water": "Such as: hall closet, red handle.",
    "alone": f"Empty: {LEAVE_ALONE}",
    FEEDING: f"Such as: the loaches come last. Empty: {COME_UP}",
    SOUND: f"Such as: a soft hum, and it gurgles at night. Empty: {HUMS}",
}


def _field(name: str, label: str) -> StringField:
    most = Length(max=LONGEST_TEXT, message=f"Use {LONGEST_TEXT} letters at most.")
    return StringField(label, [most], description=_HINTS.get(name, ""))


PlacesForm: Any = with_fields(
    PageForm, "PlacesForm", {name: _field(name, label) for name, label in TANK_TEXTS.items()}
)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacesPage:
    """The texts of one tank: where things are, and what looks usual."""

    tank: Tank
    names: tuple[str, ...]
    usual: tuple[str, ...]
    form: Any


@bp.route("/tank/<int:tank_id>/share/places", methods=["GET", "POST"])
def places(tank_id: int) -> ResponseReturnValue:
    """Show or change where things are."""
    with database().reading() as session:
        tank = tanks.tank(session, tank_id)
        known = texts.of_tank(session, tank_id)
    form = PlacesForm(data=known)
    if form.validate_on_submit():
        with database().writing() as session:
            typed = {name: form.text(name) for name in TANK_TEXTS}
            texts.keep_of_tank(session, tank_id, typed)
        flash("Saved: where things are.", "saved")
        return redirect(url_for("share.overview", tank_id=tank_id), 303)
    names = tuple(name for name in TANK_TEXTS if name not in _USUAL)
    page = PlacesPage(tank=tank, names=names, usual=_USUAL, form=form)
    return render_template("share/places.html", page=page), 422 if form.is_submitted() else 200
