"""The ranges that this tank is meant to keep."""

from dataclasses import dataclass
from typing import Any

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from app.domain.quantities import FACTS, Unit
from app.domain.series import Band
from app.domain.tank import Tank
from app.services import own_species, tanks, tasks
from app.services import ranges as range_service
from app.services.transaction import one_transaction
from app.web.range_form import RANGED, ends_text, range_form, typed_ranges, unit_words
from app.web.request import database, now, visitor
from app.web.tank import bp


@dataclass(frozen=True, slots=True, kw_only=True)
class RangesPage:
    """The ranges of one tank: its own, and what holds where there is none."""

    tank: Tank
    form: Any
    rows: tuple[tuple[str, str, str, str, str], ...]


def _band_words(band: Band | None, unit: Unit) -> str:
    if band is None:
        return "no range"
    return f"{ends_text(band.low, band.high, unit)}, {band.label}"


@bp.route("/tank/<int:tank_id>/ranges", methods=["GET", "POST"])
def ranges(tank_id: int) -> ResponseReturnValue:
    """Show or change this tank's own ranges; an empty one goes back to what the animals need."""
    with database().reading() as session:
        snapshot = tasks.snapshot_of(session, tank_id, now=now())
        knowledge = own_species.known(session, snapshot.site.id)
    tank, site = snapshot.tank, snapshot.site
    own = {r.quantity: r for r in tank.overrides}
    form = range_form(site, own.get)
    typed = typed_ranges(form, site) if form.is_submitted() else None
    if typed is not None:
        with database().writing() as session, one_transaction(session):
            for each in typed:
                tanks.set_range(
                    session, tank_id, each.quantity, each.low, each.high, set_by=visitor().name
                )
        flash("The ranges are saved.", "saved")
        return redirect(url_for("tank.water", tank_id=tank_id), 303)
    shown = range_service.ranges_of(snapshot, knowledge)
    rows = tuple(
        (
            f"{q.value}_low",
            f"{q.value}_high",
            FACTS[q].label,
            unit_words(site.unit_of(q)),
            _band_words(shown.get(q), site.unit_of(q)),
        )
        for q in RANGED
    )
    page = RangesPage(tank=tank, form=form, rows=rows)
    return render_template("tank/ranges.html", page=page), 422 if form.is_submitted() else 200
