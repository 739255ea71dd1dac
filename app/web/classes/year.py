"""The school year is over: the class ends, and another takes over its tanks."""

from dataclasses import dataclass
from typing import Any

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import StringField
from wtforms.validators import Length

from app.domain.errors import Refused
from app.services.school import classes
from app.services.school.classes import Group
from app.web.classes import bp
from app.web.classes.reading import here
from app.web.fields import PageForm
from app.web.request import database, now


class EndForm(PageForm):
    """The name of the class that comes next, if one does."""

    next_name = StringField(
        "Name of the next class", [Length(max=80, message="Use 80 letters at most.")],
        description="It takes over the tanks. Leave it empty if no class comes.",
    )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class EndPage:
    """What ends with a class."""

    group: Group
    form: Any


@bp.route("/classes/<int:class_id>/end", methods=["GET", "POST"])
def end(class_id: int) -> ResponseReturnValue:
    """Say what ends with the year; end it."""
    place = here(class_id)
    form = EndForm()
    if form.validate_on_submit():
        try:
            with database().writing() as session:
                classes.end_year(
                    session,
                    class_id,
                    next_name=form.text("next_name"),
                    now=now(),
                    today=place.today,
                )
        except Refused as refused:
            form.complain("next_name", str(refused))
        else:
            flash(f"The year of {place.group.name} is over. Replace its nicknames now.", "saved")
            return redirect(url_for("classes.replace_all", class_id=class_id), 303)
    page = EndPage(group=place.group, form=form)
    return render_template("classes/end.html", page=page), 422 if form.errors else 200
