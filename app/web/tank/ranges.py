"""The ranges that this tank is meant to keep."""

from dataclasses import dataclass
from typing import Any

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from app.domain.quantities import FACTS, Quantity, Unit
from app.domain.series import Band
from app.domain.tank import Site, Tank
from app.services import own_species, tanks, tasks
from app.services import ranges as range_service
from app.services.transaction import one_transaction
from app.web.fields import NumberField, PageForm, plain, with_fields
from app.web.request import database, now, visitor
from app.web.tank import bp

RANGED = (
    Quantity.TEMPERATURE,
    Quantity.PH,
    Quantity.NITRATE,
    Quantity.KH,
    Quantity.GH,
    Quantity.OXYGEN,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class RangesPage:
    """The ranges of one tank: its own, and what holds where there is none."""

    tank: Tank
    form: Any
    rows: tuple[tuple[str, str, str, str, str], ...]


def _range_form(tank: Tank, site: Site) -> Any:
    fields: dict[str, Any] = {}
    data: dict[str, str] = {}
    for quantity in RANGED:
        facts, unit, own = FACTS[quantity], site.unit_of(quantity), tank.own_range(quantity)
        low, high = (unit.from_kept(limit) for limit in facts.impossible)
        for end in ("low", "high"):
            name = f"{quantity.value}_{end}"
            label = f"{facts.label}, {'from' if end == 'low' else 'to'}"
            fields[name] = NumberField(label, noun=f"the {end} end", low=low, high=high)
            kept = getattr(own, end) if own else None
            data[name] = plain(None if kept is None else round(unit.from_kept(kept), 3))
    return with_fields(PageForm, "RangeForm", fields)(data=data)


def _band_words(band: Band | None, unit: Unit) -> str:
    if band is None:
        return "no range"
    ends = [plain(round(unit.from_kept(e), 2)) for e in (band.low, band.high) if e is not None]
    text = (
        " to ".join(ends)
        if len(ends) == 2
        else ("from " if band.high is None else "up to ") + ends[0]
    )
    return f"{text} {_unit_words(unit)}".strip() + f", {band.label}"


def _unit_words(unit: Unit) -> str:
    return f"{unit.symbol} {unit.basis}".strip()


@bp.route("/tank/<int:tank_id>/ranges", methods=["GET", "POST"])
def ranges(tank_id: int) -> ResponseReturnValue:
    """Show or change this tank's own ranges; an empty one goes back to what the animals need."""
    with database().reading() as session:
        snapshot = tasks.snapshot_of(session, tank_id, now=now())
        knowledge = own_species.known(session)
    tank, site = snapshot.tank, snapshot.site
    form = _range_form(tank, site)
    if form.validate_on_submit() and _ends_in_order(form):
        with database().writing() as session, one_transaction(session):
            for quantity in RANGED:
                low, high = (
                    None if n is None else site.unit_of(quantity).to_kept(n)
                    for n in _ends(form, quantity)
                )
                tanks.set_range(session, tank_id, quantity, low, high, set_by=visitor().name)
        flash("The ranges are saved.", "saved")
        return redirect(url_for("tank.water", tank_id=tank_id), 303)
    shown = range_service.ranges_of(snapshot, knowledge)
    rows = tuple(
        (
            f"{q.value}_low",
            f"{q.value}_high",
            FACTS[q].label,
            _unit_words(site.unit_of(q)),
            _band_words(shown.get(q), site.unit_of(q)),
        )
        for q in RANGED
    )
    page = RangesPage(tank=tank, form=form, rows=rows)
    return render_template("tank/ranges.html", page=page), 422 if form.is_submitted() else 200


def _ends(form: Any, quantity: Quantity) -> tuple[float | None, float | None]:
    return form[f"{quantity.value}_low"].number, form[f"{quantity.value}_high"].number


def _ends_in_order(form: Any) -> bool:
    for quantity in RANGED:
        low, high = _ends(form, quantity)
        if low is not None and high is not None and low >= high:
            form.complain(f"{quantity.value}_high", "This end must lie above the other.")
    return not form.errors
