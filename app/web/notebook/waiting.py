"""What waits for an adult: helpers' photos and words, each shown or not."""

from dataclasses import dataclass

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue

from app.domain.tank import Tank
from app.services import photos, tanks
from app.services.entries import zone_of
from app.services.notebook import note_of
from app.services.school import approvals
from app.web.notebook import bp
from app.web.notebook.pages import NoteShown, PhotoShown, note_shown, photo_shown
from app.web.request import database, now, visitor


@dataclass(frozen=True, slots=True, kw_only=True)
class WaitingPage:
    """What waits in one tank, oldest first."""

    tank: Tank
    photos: tuple[PhotoShown, ...]
    notes: tuple[NoteShown, ...]


@bp.get("/tank/<int:tank_id>/notebook/waiting")
def waiting(tank_id: int) -> ResponseReturnValue:
    """Everything that waits."""
    with database().reading() as session:
        tank = tanks.tank(session, tank_id)
        zone = zone_of(session, tank_id)
        found = approvals.waiting(session, tank_id, now=now())
    page = WaitingPage(
        tank=tank,
        photos=tuple(photo_shown(each, zone) for each in found.photos),
        notes=tuple(note_shown(note_of(each), tank_id, zone) for each in found.notes),
    )
    return render_template("notebook/waiting.html", page=page)


@bp.post("/tank/<int:tank_id>/notebook/photo/<int:photo_id>/decide")
def decide_photo(tank_id: int, photo_id: int) -> ResponseReturnValue:
    """Show a photo to everybody with the tank, or keep it back."""
    said = _said()
    with database().writing() as session:
        photos.decide(session, tank_id, photo_id, shown=said, by_id=visitor().author_id, now=now())
    return _on(tank_id, "The photo is shown now." if said else "The photo is not shown.")


@bp.post("/tank/<int:tank_id>/notebook/note/<int:entry_id>/decide")
def decide_note(tank_id: int, entry_id: int) -> ResponseReturnValue:
    """Let everybody with the tank read the words of an entry, or keep them back."""
    said = _said()
    with database().writing() as session:
        approvals.decide_note(
            session, tank_id, entry_id, shown=said, by_id=visitor().author_id, now=now()
        )
    return _on(tank_id, "The words are shown now." if said else "The words are not shown.")


def _said() -> bool:
    return request.form.get("show") == "yes"


def _on(tank_id: int, words: str) -> ResponseReturnValue:
    flash(words, "saved")
    back = "notebook.notebook" if request.form.get("back") == "book" else "notebook.waiting"
    return redirect(url_for(back, tank_id=tank_id), 303)
