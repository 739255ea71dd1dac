"""Fish and plants: the page of a tank, and telling pupils of losses."""

from dataclasses import dataclass

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.domain.tank import Tank
from app.domain.wording import count
from app.services import own_species, tasks
from app.services.livestock import animals as animal_service
from app.services.livestock.needs import needs_of
from app.web.livestock import bp
from app.web.livestock.needs import ClashShown, clashes_of
from app.web.livestock.pages import overview_page
from app.web.request import database, now, show_state

PAGE_CLASHES = 20


@dataclass(frozen=True, slots=True, kw_only=True)
class ClashesPage:
    """A part of all clashes, and where the parts before and after begin."""

    tank: Tank
    clashes: tuple[ClashShown, ...]
    before: int | None
    after: int | None


@bp.get("/tank/<int:tank_id>/fish-and-plants")
def overview(tank_id: int) -> ResponseReturnValue:
    """Who lives here since when, what they need, and where the needs do not agree."""
    with database().reading() as session:
        snapshot, seen = tasks.look(session, [tank_id], now=now())[tank_id]
        knowledge = own_species.known(session, snapshot.site.id)
        hidden = animal_service.hidden_losses(session, tank_id)
    show_state(seen)
    page = overview_page(snapshot, knowledge, hidden)
    return render_template("livestock/overview.html", page=page)


@bp.get("/tank/<int:tank_id>/fish-and-plants/clashes")
def clashes(tank_id: int) -> ResponseReturnValue:
    """Everything that does not go together, a page at a time."""
    start = max(0, request.args.get("start", default=0, type=int))
    with database().reading() as session:
        snapshot, seen = tasks.look(session, [tank_id], now=now())[tank_id]
        knowledge = own_species.known(session, snapshot.site.id)
    show_state(seen)
    every = clashes_of(needs_of(snapshot, knowledge), snapshot.site)
    page = ClashesPage(
        tank=snapshot.tank,
        clashes=every[start : start + PAGE_CLASHES],
        before=max(0, start - PAGE_CLASHES) if start else None,
        after=start + PAGE_CLASHES if start + PAGE_CLASHES < len(every) else None,
    )
    return render_template("livestock/clashes.html", page=page)


@bp.post("/tank/<int:tank_id>/fish-and-plants/release")
def release(tank_id: int) -> ResponseReturnValue:
    """From now on pupils see the losses of this tank."""
    with database().writing() as session:
        told = animal_service.release_losses(session, tank_id)
    flash(f"{count(told, 'loss is', 'losses are')} told. Pupils see the new number now.", "saved")
    return redirect(url_for("livestock.overview", tank_id=tank_id), 303)
