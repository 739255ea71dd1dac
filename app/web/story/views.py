"""The timeline of one tank, and the page of one entry."""

from flask import render_template, request
from flask.typing import ResponseReturnValue

from app.domain.errors import NotFound
from app.services import sites
from app.services import story as stories
from app.web.request import database, now, show_state, standing, visitor
from app.web.story import bp
from app.web.story.pages import GROUPS, entry_page, key_from, timeline_page

# as many as a phone loads at once, and about a class's two weeks
ENTRIES = 40


@bp.get("/tank/<int:tank_id>/story")
def story(tank_id: int) -> ResponseReturnValue:
    """What has happened, newest first; filtered by kind, a page at a time."""
    chosen = frozenset(request.args.getlist("kind")) & frozenset(GROUPS)
    before = key_from(request.args["before"]) if "before" in request.args else None
    if before is None and "before" in request.args:
        raise NotFound("There is no such page of the story.")
    kinds = frozenset(kind for key in chosen for kind in GROUPS[key][1]) or None
    with database().reading() as session:
        found = stories.story(
            session, tank_id, kinds=kinds, before=before, limit=ENTRIES, among=visitor().tank_ids
        )
    above = before[0] if before else now()
    page = timeline_page(tank_id, found, chosen=chosen, now=now(), above=above)
    show_state(lambda: standing(tank_id))
    return render_template("story/story.html", page=page)


@bp.get("/tank/<int:tank_id>/entry/<int:entry_id>")
def entry(tank_id: int, entry_id: int) -> ResponseReturnValue:
    """One entry with all that was ever written of it."""
    with database().reading() as session:
        history = stories.history(session, tank_id, entry_id, among=visitor().tank_ids)
        zone = sites.without_days(session, tank_id).zone
    line = next(each for each in history if each.entry_id == entry_id)
    page = entry_page(tank_id, line, history, zone=zone, visitor=visitor(), now=now())
    return render_template("story/entry.html", page=page)
