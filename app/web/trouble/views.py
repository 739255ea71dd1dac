"""The pages that only show: start, and an emergency water change."""

from flask import render_template
from flask.typing import ResponseReturnValue

from app.domain.quantities import FACTS
from app.domain.wording import degrees, in_sentence, number, reading_text, with_unit
from app.services import trouble, words
from app.web.trouble import bp
from app.web.writing.desk import at_desk
from app.web.writing.signs import board

_CAUTIONS = ("water_change", "untreated_water", "heater", "siphon", "hands")


@bp.get("/tank/<int:tank_id>/trouble")
def start(tank_id: int) -> ResponseReturnValue:
    """The board of signs, the order in which to look, and the ways on."""
    desk = at_desk(tank_id)
    return render_template("trouble/start.html", tank_id=desk.tank_id, board=board(tank_id))


@bp.get("/tank/<int:tank_id>/trouble/change")
def change(tank_id: int) -> ResponseReturnValue:
    """A water change for poisoned water, sized from this tank's numbers."""
    snapshot = at_desk(tank_id).snapshot
    sized, site = trouble.emergency_change(snapshot), snapshot.site
    facts = []
    if sized.reading and sized.share is not None and sized.quantity:
        label = in_sentence(FACTS[sized.quantity].label)
        facts.append(("Because", f"{label} {reading_text(sized.reading, site)}"))
        facts.append(("One step", f"{with_unit(number(sized.share * 100, 0), '%')} of the water"))
        if text := trouble.amount_text(sized, snapshot):
            facts.append(("That is", text))
        if sized.level_cm is not None:
            facts.append(("The level falls by", with_unit(number(sized.level_cm, 1), "cm")))
        if sized.steps is not None:
            facts.append(("Steps", f"{sized.steps}, six to eight hours apart, a test before each"))
        if sized.lowest_new_c is not None:
            lowest = degrees(site, sized.lowest_new_c)
            facts.append(("New water", f"{lowest} or warmer, and not warmer than the tank"))
    return render_template(
        "trouble/change.html",
        tank_id=tank_id,
        change=sized,
        facts=facts,
        cautions=words.cautions(_CAUTIONS),
    )
