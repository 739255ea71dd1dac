"""The plants of a tank: the list with what was trimmed, and one more plant."""

from typing import Any, Self

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from wtforms import BooleanField, HiddenField, StringField
from wtforms.validators import Length

from app.domain.errors import Refused, TokenReused
from app.knowledge.catalogue import Plant as ListedPlant
from app.services import tasks
from app.services.livestock import catalogue
from app.services.livestock import plants as plant_service
from app.services.livestock.plants import AMOUNT_WORDS, AMOUNTS, PlantDraft
from app.web.fields import ChoiceField, PageForm
from app.web.plants import bp
from app.web.plants.pages import plants_page
from app.web.request import database, now, show_state, stamp_now

_MOST_FOUND = 10


class PlantForm(PageForm):
    """A plant that was planted today."""

    name = StringField(
        "What you call it", [Length(max=80, message="Use 80 letters at most.")],
        description="Such as: tape grass.",
    )  # fmt: skip
    species = HiddenField("Which plant", [Length(max=120, message="Use 120 letters at most.")])
    amount = ChoiceField("How much of it", noun="how much", choices=AMOUNT_WORDS, default="sparse")
    floating = BooleanField("It floats")

    @classmethod
    def of(cls, listed: ListedPlant | None) -> Self:
        """The form, filled from a plant of the list where one was chosen."""
        data: dict[str, Any] = {"amount": "sparse"}
        if request.args.get("amount") in AMOUNTS:
            data["amount"] = request.args["amount"]
        if listed is not None:
            data |= {
                "name": listed.common_name.replace("'", "’"),
                "species": listed.scientific_name,
                "floating": listed.growth_form == "floating",
            }
        return cls(data=data)

    def draft(self) -> PlantDraft | None:
        """What was typed, or None with sentences beside the fields."""
        self.validate()
        if not self.text("name"):
            self.complain("name", "Enter the name of the plant.")
        if self.errors:
            return None
        return PlantDraft(
            name=self.text("name"),
            species=self.text("species"),
            amount=self.amount.data,
            floating=self.floating.data,
        )


@bp.route("/tank/<int:tank_id>/plants", methods=["GET", "POST"])
def plants(tank_id: int) -> ResponseReturnValue:
    """Which plants grow here, what was trimmed and left with it, algae; add one."""
    slug = request.args.get("plant", "")[:120]
    listed = catalogue.plant(slug) if slug else None
    form = PlantForm.of(listed)
    draft = form.draft() if form.is_submitted() else None
    if draft is not None:
        stamp = stamp_now(tank_id, form.once)
        try:
            with database().writing() as session:
                plant_service.plant(session, stamp, draft, now=now())
        except TokenReused as reused:
            form.complain("name", f"{reused} Open the page again for one more plant.")
        except Refused as refused:
            form.complain("name", str(refused))
        else:
            flash(f"Saved: {draft.name}.", "saved")
            return redirect(url_for("plants.plants", tank_id=tank_id), 303)
    return _page(tank_id, form, listed)


@bp.post("/tank/<int:tank_id>/plants/<int:plant_id>/back")
def bring_back(tank_id: int, plant_id: int) -> ResponseReturnValue:
    """A plant that was taken out grows here after all."""
    with database().writing() as session:
        plant_service.plant_of(session, tank_id, plant_id)
        plant_service.bring_back(session, plant_id)
    flash("It stands in the list again.", "saved")
    return redirect(url_for("plants.plants", tank_id=tank_id), 303)


def _page(tank_id: int, form: PlantForm, listed: ListedPlant | None) -> ResponseReturnValue:
    typed = request.args.get("name", "").strip()[:80]
    with database().reading() as session:
        snapshot, seen = tasks.look(session, [tank_id], now=now())[tank_id]
        held = plant_service.plants(session, tank_id, removed=True)
        months = plant_service.trimmed_by_month(session, tank_id)
        algae = plant_service.algae_seen(session, tank_id)
    show_state(seen)
    page = plants_page(
        snapshot,
        held,
        months,
        algae,
        form=form,
        listed=listed,
        typed=typed,
        found=catalogue.plants(typed)[:_MOST_FOUND] if typed else (),
    )
    return render_template("plants/plants.html", page=page), 422 if form.is_submitted() else 200
