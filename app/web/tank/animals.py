"""The groups of animals in a tank."""

from dataclasses import dataclass

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import StringField
from wtforms.validators import Length

from app.domain.errors import Refused, TokenReused
from app.domain.records import StockGroup, Tank
from app.services import settling, tanks
from app.services.entries import Stamp
from app.services.settling import GroupDraft
from app.web.fields import ChoiceField, NumberField, PageForm
from app.web.request import database, now, visitor
from app.web.tank import bp

BANDS = {"surface": "Near the surface", "middle": "In the middle", "bottom": "On the bottom"}


class GroupForm(PageForm):
    """Animals of one kind that are in the tank, or come today."""

    name = StringField(
        "What animals", [Length(max=80, message="Use 80 letters at most.")],
        description="Such as: peppered cory. One kind for each group.",
    )  # fmt: skip
    count = NumberField(
        "How many are there now", noun="how many there are", low=0, high=10_000, whole=True,
        required=True,
    )  # fmt: skip
    band = ChoiceField(
        "Where do they live", noun="where they live", choices=BANDS, default="middle"
    )
    adult_cm = NumberField(
        "Grown length", noun="the grown length in cm", low=0.1, high=200,
        description="With tail. Then they are drawn to scale.",
    )  # fmt: skip

    def draft(self) -> GroupDraft | None:
        """What was typed, or None with sentences beside the fields."""
        self.validate()
        if not self.text("name"):
            self.complain("name", "Enter the name of the animals.")
        if self.errors:
            return None
        return GroupDraft(
            name=self.text("name"),
            band=self.band.data,
            adult_cm=self.adult_cm.number,
            count=int(self.count.number or 0),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class AnimalsPage:
    """The groups, and the form for one more."""

    tank: Tank
    groups: tuple[StockGroup, ...]
    form: GroupForm
    bands: dict[str, str]


@bp.route("/tank/<int:tank_id>/animals", methods=["GET", "POST"])
def animals(tank_id: int) -> ResponseReturnValue:
    """Show the groups; add one."""
    form = GroupForm()
    draft = form.draft() if form.is_submitted() else None
    if draft is not None:
        stamp = Stamp(
            tank_id=tank_id,
            token=form.once,
            happened_at=now(),
            author_id=visitor().author_id,
        )
        try:
            with database().writing() as session:
                settling.settle(session, stamp, draft, now=now())
        except TokenReused as reused:
            form.complain("name", f"{reused} Open the page again for one more group.")
        except Refused as refused:
            form.complain("name", str(refused))
        else:
            flash(f"Saved: {draft.count} {draft.name}.", "saved")
            return redirect(url_for("tank.animals", tank_id=tank_id), 303)
    with database().reading() as session:
        page = AnimalsPage(
            tank=tanks.tank(session, tank_id),
            groups=tanks.groups(session, tank_id, now=now()),
            form=form,
            bands=BANDS,
        )
    return render_template("tank/animals.html", page=page), 422 if form.is_submitted() else 200
