"""A nickname is replaced everywhere: one helper's, or all of a class; and the older copies."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from flask import flash, redirect, render_template, request, url_for
from flask.typing import ResponseReturnValue
from wtforms import SelectMultipleField
from wtforms.widgets import CheckboxInput

from app.domain import wording
from app.services.installation import keeping
from app.services.installation.keeping import Copy
from app.services.school import replacing, rota
from app.services.school.classes import Group
from app.services.school.replacing import Mention
from app.services.school.tiles import Tile
from app.web.classes import bp
from app.web.classes.reading import here
from app.web.classes.tiles import tile_of
from app.web.fields import PageForm
from app.web.request import database, now, settings


class ReplaceForm(PageForm):
    """The texts in which the nickname is replaced too."""

    texts = SelectMultipleField(
        "Replace it in these texts too", option_widget=CheckboxInput(), validate_choice=False
    )


class CopiesForm(PageForm):
    """A button that removes the copies."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReplacePage:
    """Whose nicknames are replaced, and in which texts they stand."""

    group: Group
    tiles: tuple[Tile, ...]
    mentions: tuple[Mention, ...]
    form: Any
    copies: tuple[Copy, ...]
    leave_url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CopiesPage:
    """The automatic copies of the record, which may hold nicknames that were replaced since."""

    copies: tuple[Copy, ...]
    folder: str
    form: Any


@bp.route("/classes/<int:class_id>/tiles/<int:author_id>/replace", methods=["GET", "POST"])
def replace(class_id: int, author_id: int) -> ResponseReturnValue:
    """Show where a nickname stands; replace it."""
    found = tile_of(class_id, author_id)
    leave = url_for("classes.tile", class_id=class_id, author_id=author_id)
    return _replace(class_id, (found,) if found.past_number is None else (), leave)


@bp.route("/classes/<int:class_id>/replace", methods=["GET", "POST"])
def replace_all(class_id: int) -> ResponseReturnValue:
    """Show where the nicknames of a class stand; replace all of them."""
    with database().reading() as session:
        found = replacing.named(session, class_id)
    return _replace(class_id, found, url_for("classes.one", class_id=class_id))


def _replace(class_id: int, tiles: Sequence[Tile], leave: str) -> ResponseReturnValue:
    group = here(class_id).group
    author_ids = [tile.author_id for tile in tiles]
    with database().reading() as session:
        mentions = replacing.mentions(session, author_ids)
    form = ReplaceForm(data={"texts": [m.key for m in mentions if m.ticked]})
    form.texts.choices = {m.key: m.text for m in mentions}
    if tiles and form.validate_on_submit():
        with database().writing() as session:
            names = replacing.replace(session, author_ids, form.texts.data or (), now=now())
        _say(names)
        _say_gaps(class_id)
        return redirect(url_for("classes.copies"), 303)
    page = ReplacePage(
        group=group,
        tiles=tuple(tiles),
        mentions=mentions,
        form=form,
        copies=keeping.copies(settings()),
        leave_url=leave,
    )
    return render_template("classes/replace.html", page=page), 422 if form.errors else 200


def _say(names: Sequence[str]) -> None:
    """Clear the file of what was replaced, and say what became of it."""
    done = f"Replaced: {wording.listed(names)}." if len(names) < 4 else f"{len(names)} replaced."
    if database().sweep():
        flash(f"{done} The old words are gone from the file of the record.", "saved")
    else:
        flash(f"{done} Somebody was reading: clear the file once more.", "not-saved")


def _say_gaps(class_id: int) -> None:
    """Say on which planned days helpers are needed now."""
    place = here(class_id)
    with database().reading() as session:
        gaps = rota.lacking(session, class_id, place.today)
    if gaps:
        days = wording.listed([f"{each.lacks} on {wording.full_day(each.day)}" for each in gaps])
        flash(f"Helpers are needed: {days}. The week fills the gaps with one tap.", "asks")


@bp.route("/classes/copies", methods=["GET", "POST"])
def copies() -> ResponseReturnValue:
    """The automatic copies of the record; remove them, and clear the file once more."""
    form = CopiesForm()
    found = keeping.copies(settings())
    if form.validate_on_submit():
        removed = keeping.remove_copies(settings(), request.form.getlist("copy"))
        if database().sweep():
            said = f"{wording.count(removed, 'copy', 'copies')} removed. The file is cleared."
            flash(said, "saved")
        else:
            flash("Somebody was reading: clear the file once more.", "not-saved")
        return redirect(url_for("classes.copies"), 303)
    page = CopiesPage(copies=found, folder=str(settings().copies_folder), form=form)
    return render_template("classes/copies.html", page=page)
