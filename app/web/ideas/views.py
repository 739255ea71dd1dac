"""Before buying: the page."""

from urllib.parse import urlencode

from flask import render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.knowledge.catalogue import Plant, Species
from app.knowledge.model import Knowledge
from app.knowledge.search import best_first
from app.services import own_species, tasks
from app.services.livestock import ideas
from app.web.ideas import bp
from app.web.ideas.form import NEW, PLANTED, IdeaForm
from app.web.ideas.pages import IdeaPage, doors_of, outcome
from app.web.request import database, now, show_state

_MOST_FOUND = 8


@bp.get("/tank/<int:tank_id>/before-buying")
def before_buying(tank_id: int) -> ResponseReturnValue:
    """What more or fewer animals and plants would mean; nothing is saved."""
    with database().reading() as session:
        snapshot, seen = tasks.look(session, [tank_id], now=now())[tank_id]
        knowledge = own_species.known(session, snapshot.site.id)
    show_state(seen)
    form = IdeaForm.at(snapshot, knowledge, request.args)
    idea = form.idea() if request.args else None
    result = None
    if idea is not None:
        counts = {group.id: group.count for group in snapshot.groups}
        doors = tuple(doors_of(form, snapshot.tank, counts))
        result = outcome(ideas.compare_with(snapshot, idea, knowledge), snapshot.site, doors)
    typed = (form.look.data or "").strip()[:80]
    page = IdeaPage(
        tank=snapshot.tank,
        form=form,
        found=_found(tank_id, typed, knowledge) if typed else (),
        looked=bool(typed),
        outcome=result,
    )
    return render_template("ideas/before_buying.html", page=page), 422 if form.errors else 200


def _found(tank_id: int, typed: str, knowledge: Knowledge) -> tuple[tuple[str, str, str, str], ...]:
    animals = best_first(knowledge.species.values(), typed)[:_MOST_FOUND]
    plants = best_first(knowledge.plants.values(), typed)[:_MOST_FOUND]
    return (
        *(_hit(tank_id, s, f"{NEW}{s.slug}", str(s.min_group or 1), "animal") for s in animals),
        *(_hit(tank_id, p, f"{PLANTED}{p.slug}", "sparse", "plant") for p in plants),
    )


def _hit(
    tank_id: int, record: Species | Plant, name: str, value: str, kind: str
) -> tuple[str, str, str, str]:
    kept = {key: text for key, text in request.args.items() if key != "look"} | {name: value}
    url = f"{url_for('ideas.before_buying', tank_id=tank_id)}?{urlencode(kept)}"
    return record.common_name.replace("'", "’"), record.scientific_name, url, kind
