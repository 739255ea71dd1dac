"""Tiles of helpers: a nickname from the list, and no other fact about a child."""

from dataclasses import dataclass
from typing import Any

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue

from app.domain.errors import Refused
from app.services import people, words
from app.services.people import Hands
from app.web.fields import ChoiceField, PageForm
from app.web.request import database, now
from app.web.settings import bp


class TileForm(PageForm):
    """A nickname that nobody has yet."""

    nickname = ChoiceField("A new tile", noun="a nickname")


@dataclass(frozen=True, slots=True, kw_only=True)
class HelpersPage:
    """The tiles there are, and the ones that are free."""

    form: Any
    tiles: tuple[Hands, ...]


def _tiles() -> tuple[Hands, ...]:
    with database().reading() as session:
        return tuple(h for h in people.hands(session) if h.kind == "helper")


@bp.route("/settings/helpers", methods=["GET", "POST"])
def helpers() -> ResponseReturnValue:
    """Show the tiles; add one."""
    tiles = _tiles()
    taken = {tile.name for tile in tiles}
    form = TileForm()
    form.nickname.choices = {name: name for name in words.nicknames() if name not in taken}
    if form.validate_on_submit():
        try:
            with database().writing() as session:
                people.add_helper(session, form.nickname.data)
        except Refused as refused:
            form.complain("nickname", str(refused))
        else:
            flash(f"The tile {form.nickname.data} is there.", "saved")
            return redirect(url_for("settings.helpers"), 303)
    page = HelpersPage(form=form, tiles=tiles)
    return render_template("settings/helpers.html", page=page), 422 if form.is_submitted() else 200


@bp.post("/settings/helpers/<int:author_id>/put-away")
def put_away(author_id: int) -> ResponseReturnValue:
    """Put a tile away; what it wrote stays."""
    with database().writing() as session:
        people.remove_helper(session, author_id, now=now())
    flash("The tile is put away. Its entries stay.", "saved")
    return redirect(url_for("settings.helpers"), 303)
