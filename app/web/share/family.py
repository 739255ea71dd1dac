"""A new link for families."""

from dataclasses import dataclass

from flask import render_template
from flask.typing import ResponseReturnValue
from wtforms import StringField
from wtforms.validators import InputRequired, Length

from app.domain.calendar import local_day
from app.domain.errors import Refused
from app.domain.tank import Tank
from app.knowledge.load import load
from app.services import sites, tanks
from app.services.sharing import links
from app.services.sharing.link_days import family_days
from app.services.sharing.links import LONGEST_LABEL, LinkKind
from app.web.fields import DayField, PageForm
from app.web.request import database, now, visitor
from app.web.share import bp
from app.web.share.making import link_token, made_page


class LinkForm(PageForm):
    """What a link is called in the list, and how long it lives."""

    label = StringField(
        "What it is called in your list",
        [Length(max=LONGEST_LABEL, message=f"Use {LONGEST_LABEL} letters at most.")],
        description="Only you see it. Use no child’s name.",
    )
    first_day = DayField("First day", [InputRequired("Enter the first day.")])
    last_day = DayField("Last day", [InputRequired("Enter the last day.")])


@dataclass(frozen=True, slots=True, kw_only=True)
class FamilyLinkPage:
    """The form for a family link."""

    tank: Tank
    form: LinkForm


@bp.route("/tank/<int:tank_id>/share/family", methods=["GET", "POST"])
def family(tank_id: int) -> ResponseReturnValue:
    """Make a link for families, and show it once."""
    with database().reading() as session:
        tank = tanks.tank(session, tank_id)
        today = local_day(now(), sites.site(session, tank_id).zone)
    first, last = family_days(today, load())
    form = LinkForm(data={"first_day": first, "last_day": last})
    if form.validate_on_submit():
        try:
            with database().writing() as session:
                _, token = links.make(
                    session,
                    tank_id,
                    LinkKind.FAMILY,
                    label=form.text("label"),
                    first_day=form.first_day.data,
                    last_day=form.last_day.data,
                    made_by_id=visitor().author_id,
                    now=now(),
                    token=link_token(form.once),
                )
        except Refused as refused:
            form.complain("last_day", str(refused))
        else:
            return made_page(tank_id, LinkKind.FAMILY, token, form.last_day.data)
    page = FamilyLinkPage(tank=tank, form=form)
    return render_template("share/family.html", page=page), 422 if form.is_submitted() else 200
