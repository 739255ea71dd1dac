"""To do, and the why-card of each task."""

from flask import render_template
from flask.typing import ResponseReturnValue

from app.domain.errors import NotFound
from app.services import tasks
from app.web.request import database, now, show_state, visitor
from app.web.todo import bp
from app.web.todo.pages import todo_page, why_page


@bp.get("/tank/<int:tank_id>/to-do")
def todo(tank_id: int) -> ResponseReturnValue:
    """Everything that is due, ordered by what could hurt most."""
    with database().reading() as session:
        snapshot, seen = tasks.look(session, [tank_id], now=now())[tank_id]
    show_state(seen)
    page = todo_page(snapshot, seen, is_adult=visitor().is_adult)
    return render_template("todo/todo.html", page=page)


@bp.get("/tank/<int:tank_id>/to-do/<key>")
def why(tank_id: int, key: str) -> ResponseReturnValue:
    """Why one task is there: entries, working, limit, what clears it."""
    with database().reading() as session:
        snapshot, seen = tasks.look(session, [tank_id], now=now())[tank_id]
    task = next((t for t in seen.tasks if t.key == key), None)
    if task is None:
        raise NotFound("This task is done, or its reason is gone. To do shows what is left.")
    show_state(seen)
    page = why_page(snapshot, task, is_adult=visitor().is_adult)
    return render_template("todo/why.html", page=page)
