"""Tiles: many at once from the list, and the page of one."""

from dataclasses import dataclass
from datetime import date
from typing import Any

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import SelectMultipleField
from wtforms.validators import Optional
from wtforms.widgets import CheckboxInput

from app.domain import wording
from app.domain.errors import NotFound, Refused
from app.services.school import away, tiles
from app.services.school.away import Away
from app.services.school.classes import Group
from app.services.school.tiles import Tile
from app.web.classes import bp
from app.web.classes.reading import here
from app.web.fields import DayField, NumberField, PageForm
from app.web.request import database, now

MOST_AT_ONCE = 60


class NicknamesForm(PageForm):
    """Nicknames that are ticked, or just so many."""

    nicknames = SelectMultipleField("Nicknames", option_widget=CheckboxInput())
    number = NumberField(
        "How many tiles", noun="how many tiles you need", low=1, high=MOST_AT_ONCE, whole=True,
        description="They get the next free nicknames, in the order of the list.",
    )  # fmt: skip


class AwayForm(PageForm):
    """Days on which a helper is not there; nobody asks why."""

    first_day = DayField("First day away", [Optional()])
    last_day = DayField(
        "Last day away", [Optional()], description="Leave it empty if it is one day."
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class AddPage:
    """The nicknames that are free."""

    group: Group
    form: Any
    there: int


@dataclass(frozen=True, slots=True, kw_only=True)
class TilePage:
    """One tile."""

    group: Group
    tile: Tile
    form: Any
    away: tuple[Away, ...]


@bp.route("/classes/<int:class_id>/tiles", methods=["GET", "POST"])
def add_tiles(class_id: int) -> ResponseReturnValue:
    """Show the free nicknames; add those that are ticked, or so many."""
    group = here(class_id).group
    with database().reading() as session:
        free = tiles.free_nicknames(session, class_id)
        there = sum(tile.is_there for tile in tiles.of_class(session, class_id))
    form = NicknamesForm()
    form.nicknames.choices = {name: name for name in free}
    if form.is_submitted() and (made := _added(form, class_id)):
        flash(f"{wording.count(made, 'tile', 'tiles')} added.", "saved")
        return redirect(url_for("classes.one", class_id=class_id), 303)
    page = AddPage(group=group, form=form, there=there)
    return render_template("classes/add_tiles.html", page=page), 422 if form.is_submitted() else 200


def _added(form: NicknamesForm, class_id: int) -> int:
    """How many tiles were added; 0 with a sentence beside a field."""
    if not form.validate():
        return 0
    ticked = form.nicknames.data or []
    if not ticked and form.number.number is None:
        form.complain("nicknames", "Tick the nicknames, or write how many tiles you need.")
        return 0
    try:
        with database().writing() as session:
            if ticked:
                return len(tiles.add_helpers(session, ticked, class_id))
            return len(tiles.add_some(session, int(form.number.number or 0), class_id))
    except Refused as refused:
        form.complain("nicknames" if ticked else "number", str(refused))
        return 0


def tile_of(class_id: int, author_id: int) -> Tile:
    """A tile of this class.

    Raises:
        NotFound: If the class has no such tile.
    """
    with database().reading() as session:
        found = tiles.one(session, author_id)
    if found.class_id != class_id:
        raise NotFound("There is no such tile.")
    return found


@bp.route("/classes/<int:class_id>/tiles/<int:author_id>", methods=["GET", "POST"])
def tile(class_id: int, author_id: int) -> ResponseReturnValue:
    """One tile; write down days on which its helper is not there."""
    found, place = tile_of(class_id, author_id), here(class_id)
    form = AwayForm()
    if form.is_submitted() and _set_away(form, class_id, author_id, place.today):
        flash("The rota leaves these days out.", "saved")
        return _to_tile(class_id, author_id)
    with database().reading() as session:
        days = away.from_day(session, class_id, place.today)
    page = TilePage(
        group=place.group,
        tile=found,
        form=form,
        away=tuple(each for each in days if each.author_id == author_id),
    )
    return render_template("classes/tile.html", page=page), 422 if form.is_submitted() else 200


def _set_away(form: AwayForm, class_id: int, author_id: int, today: date) -> bool:
    """Whether the days of the form were written down; else sentences stand beside the fields."""
    if not form.validate():
        return False
    first = form.first_day.data
    if first is None:
        form.complain("first_day", "Write the first day.")
        return False
    try:
        with database().writing() as session:
            away.set_away(
                session, class_id, author_id, first, form.last_day.data or first, today=today
            )
    except Refused as refused:
        form.complain("last_day", str(refused))
        return False
    return True


@bp.post("/classes/<int:class_id>/tiles/<int:author_id>/duty/<any(on,off):how>")
def on_duty(class_id: int, author_id: int, how: str) -> ResponseReturnValue:
    """Let a tile be put on the rota, or leave it off."""
    here(class_id)
    tile_of(class_id, author_id)
    with database().writing() as session:
        tiles.set_on_duty(session, author_id, how == "on")
    flash("Saved. Plan the week again to use it.", "saved")
    return _to_tile(class_id, author_id)


@bp.post("/classes/<int:class_id>/tiles/<int:author_id>/there/<day:first>/<day:last>")
def set_there(class_id: int, author_id: int, first: date, last: date) -> ResponseReturnValue:
    """Take days away back."""
    here(class_id)
    with database().writing() as session:
        away.set_there(session, class_id, author_id, first, last)
    flash("The rota counts on these days again.", "saved")
    return _to_tile(class_id, author_id)


@bp.post("/classes/<int:class_id>/tiles/<int:author_id>/put-away")
def put_away(class_id: int, author_id: int) -> ResponseReturnValue:
    """Put a tile away; what it wrote stays, with its nickname."""
    here(class_id)
    tile_of(class_id, author_id)
    with database().writing() as session:
        tiles.put_away(session, author_id, now=now())
    flash("The tile is put away. Its entries stay.", "saved")
    return redirect(url_for("classes.one", class_id=class_id), 303)


def _to_tile(class_id: int, author_id: int) -> ResponseReturnValue:
    return redirect(url_for("classes.tile", class_id=class_id, author_id=author_id), 303)
