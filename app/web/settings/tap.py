"""The tap water's own values: without them no number of the tank can be judged."""

from typing import Any

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms.validators import Optional

from app.domain.quantities import FACTS, Quantity
from app.domain.tank import Site
from app.services import sites
from app.services.transaction import one_transaction
from app.web.fields import (
    DayField,
    PageForm,
    judge,
    plain,
    reading_fields,
    unit_key,
    unit_name,
    with_fields,
)
from app.web.request import database
from app.web.settings import bp
from app.web.settings.site import SettingsPage
from app.web.where import place_of_page

TESTED = (
    Quantity.PH,
    Quantity.NITRATE,
    Quantity.KH,
    Quantity.GH,
    Quantity.AMMONIA,
    Quantity.CHLORINE,
)


class _TapForm(PageForm):
    """One test of the tap water; what is left empty is not known."""

    tested_on = DayField("Tested on", [Optional()])
    quantities = TESTED


def _form(site: Site) -> Any:
    fields: dict[str, Any] = {}
    data: dict[str, str] = {}
    for quantity in TESTED:
        facts = FACTS[quantity]
        fields |= reading_fields(quantity)
        data[quantity.value] = plain(site.tap_value(quantity))
        data[unit_name(quantity.value)] = unit_key(facts.unit, facts.basis)
    return with_fields(_TapForm, "TapForm", fields)(data=data)


@bp.route("/settings/tap-water", methods=["GET", "POST"])
def tap() -> ResponseReturnValue:
    """Show or change what the tap water holds."""
    with database().reading() as session:
        place = sites.place(session, place_of_page(session).id)
    form = _form(place)
    if form.is_submitted():
        form.validate()
        values = {q: judge(form, q) for q in TESTED}
        if not form.errors:
            with database().writing() as session, one_transaction(session):
                for quantity, readings in values.items():
                    value = readings[-1].value if readings else None
                    sites.set_tap(session, place.id, quantity, value, form.tested_on.data)
            flash("The tap water is saved.", "saved")
            return redirect(url_for("settings.site"), 303)
    page = SettingsPage(form=form)
    return render_template("settings/tap.html", page=page), 422 if form.is_submitted() else 200
