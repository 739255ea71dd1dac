"""One more household or school, with its own zone, units, days, kits and tap water."""

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from app.domain.errors import Refused
from app.services import sites
from app.web.request import database
from app.web.settings import bp
from app.web.settings.site import SettingsPage, SiteForm


@bp.route("/settings/new-place", methods=["GET", "POST"])
def new_place() -> ResponseReturnValue:
    """Set up one more place; its tanks come after it."""
    form = SiteForm(data={"present_weekdays": [str(day) for day in range(7)]})
    draft = form.draft() if form.is_submitted() else None
    if draft is not None:
        try:
            with database().writing() as session:
                site_id = sites.add_site(session, draft)
        except Refused as refused:
            form.complain("name", str(refused))
        else:
            flash(f"{draft.name} is set up. Its first tank is next.", "saved")
            return redirect(url_for("tank.new", place=site_id), 303)
    page = SettingsPage(form=form)
    status = 422 if form.is_submitted() else 200
    return render_template("settings/new_place.html", page=page), status
