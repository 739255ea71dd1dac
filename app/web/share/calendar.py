"""A new link for a calendar."""

from dataclasses import dataclass

from flask import render_template
from flask.typing import ResponseReturnValue
from wtforms import StringField
from wtforms.validators import Length

from app.domain.tank import Tank
from app.services import tanks
from app.services.sharing import links
from app.services.sharing.links import LONGEST_LABEL, LinkKind
from app.web.fields import PageForm
from app.web.request import database, now, visitor
from app.web.share import bp
from app.web.share.making import link_token, made_page


class CalendarLinkForm(PageForm):
    """What the link is called in the list; it lives until somebody closes it."""

    label = StringField(
        "What it is called in your list",
        [Length(max=LONGEST_LABEL, message=f"Use {LONGEST_LABEL} letters at most.")],
        description="Such as: my phone. Only you see it.",
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarLinkPage:
    """The form for a calendar link."""

    tank: Tank
    form: CalendarLinkForm


@bp.route("/tank/<int:tank_id>/share/calendar", methods=["GET", "POST"])
def calendar(tank_id: int) -> ResponseReturnValue:
    """Make a link for a calendar, and show it once."""
    with database().reading() as session:
        tank = tanks.tank(session, tank_id)
    form = CalendarLinkForm()
    if form.validate_on_submit():
        with database().writing() as session:
            _, token = links.make(
                session,
                tank_id,
                LinkKind.CALENDAR,
                label=form.text("label"),
                first_day=None,
                last_day=None,
                made_by_id=visitor().author_id,
                now=now(),
                token=link_token(form.once),
            )
        return made_page(tank_id, LinkKind.CALENDAR, token, None)
    page = CalendarLinkPage(tank=tank, form=form)
    return render_template("share/calendar.html", page=page), 422 if form.is_submitted() else 200
