"""Starting a tank, step by step; and a new one set up like an earlier one."""

from dataclasses import dataclass
from typing import Self

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import StringField
from wtforms.validators import Length

from app.domain.errors import Refused
from app.domain.tank import Tank
from app.services import course, tanks
from app.services.tanks import TankLine
from app.web.course import bp
from app.web.course.pages import basis_words
from app.web.course.step import page_of, step_view
from app.web.fields import PageForm
from app.web.request import database, id_arg, own_tank, visitor
from app.web.writing.desk import at_desk

_NAME = 80


class LikeForm(PageForm):
    """The name of the new tank."""

    name = StringField(
        "Name of the new tank", [Length(max=_NAME, message=f"Use {_NAME} letters at most.")]
    )

    def typed_name(self) -> str:
        """The name, or "" with a sentence beside the field."""
        if self.validate() and not self.text("name"):
            self.complain("name", "Enter a name for the tank.")
        return "" if self.errors else self.text("name")

    @classmethod
    def empty(cls) -> Self:
        """The form as it comes."""
        return cls()


@dataclass(frozen=True, slots=True, kw_only=True)
class LikePage:
    """The tanks to choose from, the chosen one or None, and the form."""

    lines: tuple[TankLine, ...]
    closed: tuple[TankLine, ...]
    tank: Tank | None
    form: LikeForm


@bp.get("/tank/<int:tank_id>/starting")
def starting(tank_id: int) -> ResponseReturnValue:
    """The steps that start a tank, in their order, with their waits."""
    desk = at_desk(tank_id)
    never, in_class = course.advice("never"), course.advice("class")
    return render_template(
        "course/starting.html",
        page=page_of(desk, course.STARTING),
        never=(never, basis_words(never)),
        in_class=(in_class, basis_words(in_class)) if desk.snapshot.tank.setting == "class" else (),
    )


@bp.route("/tank/<int:tank_id>/starting/<name>", methods=["GET", "POST"])
def starting_step(tank_id: int, name: str) -> ResponseReturnValue:
    """One step of starting."""
    return step_view(tank_id, course.STARTING, name)


@bp.route("/tank/like", methods=["GET", "POST"])
def like() -> ResponseReturnValue:
    """A new tank with the set-up of an earlier one, also of one that was closed."""
    from_id = id_arg("from")
    if from_id is not None:
        own_tank(from_id)
    form = LikeForm.empty()
    if from_id is not None and form.is_submitted() and (name := form.typed_name()):
        try:
            with database().writing() as session:
                fresh = tanks.copy_setup(session, from_id, name)
        except Refused as refused:
            form.complain("name", str(refused))
        else:
            flash(f"{name} is set up. What was copied can be changed at any time.", "saved")
            return redirect(url_for("course.starting", tank_id=fresh), 303)
    with database().reading() as session:
        page = LikePage(
            lines=tanks.tank_lines(session, visitor().tank_ids),
            closed=tanks.closed_lines(session, visitor().tank_ids),
            tank=None if from_id is None else tanks.tank(session, from_id),
            form=form,
        )
    return render_template("course/like.html", page=page), 422 if form.is_submitted() else 200
