"""To do, and the why-card of each task."""

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from app.domain.errors import NotFound
from app.services import marks, supply_use, tasks
from app.web.request import database, now, show_state, visitor
from app.web.todo import bp
from app.web.todo.marks import MarkForm, keep
from app.web.todo.pages import todo_page, why_page


@bp.get("/tank/<int:tank_id>/to-do")
def todo(tank_id: int) -> ResponseReturnValue:
    """Everything that is due, ordered by what could hurt most."""
    with database().reading() as session:
        snapshot, seen = tasks.look(session, [tank_id], now=now())[tank_id]
        shelf = supply_use.soon(session, snapshot)
    show_state(seen)
    page = todo_page(snapshot, seen, shelf, is_adult=visitor().is_adult)
    return render_template("todo/todo.html", page=page)


@bp.route("/tank/<int:tank_id>/to-do/<key>", methods=["GET", "POST"])
def why(tank_id: int, key: str) -> ResponseReturnValue:
    """Why one task is there, and what else to do about it: later, not this time, somebody."""
    with database().reading() as session:
        snapshot, seen = tasks.look(session, [tank_id], now=now())[tank_id]
        past = marks.history(session, tank_id, key)
    task = next((t for t in seen.tasks if t.key == key), None)
    if task is None:
        raise NotFound("This task is done, or its reason is gone. To do shows what is left.")
    show_state(seen)
    form = MarkForm.for_task(task)
    if form.is_submitted() and form.is_filled():
        keep(form, task, snapshot)
        flash(f"Kept: {task.action.title}.", "saved")
        return redirect(url_for("todo.todo", tank_id=tank_id), 303)
    page = why_page(snapshot, task, form, past, is_adult=visitor().is_adult)
    return render_template("todo/why.html", page=page), 422 if form.is_submitted() else 200
