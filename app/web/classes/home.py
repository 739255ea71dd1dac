"""The classes, the page of one class, and what is said of it."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, Self

from flask import flash, redirect, render_template, url_for
from flask.typing import ResponseReturnValue
from wtforms import SelectMultipleField, StringField
from wtforms.validators import Length, Optional
from wtforms.widgets import CheckboxInput

from app.domain.errors import Refused
from app.domain.rota import DutySpan
from app.services import tanks
from app.services.school import approvals, away, classes, rota, tiles
from app.services.school.away import Away
from app.services.school.classes import MOST_ON_DUTY, ClassFacts, Group
from app.services.school.rota import DutyDay
from app.services.school.tiles import Tile
from app.web.classes import bp
from app.web.classes.reading import Here, in_session
from app.web.fields import ChoiceField, DayField, NumberField, PageForm, plain
from app.web.request import database, now, visitor

_SPANS = {DutySpan.DAY.value: "Each day others", DutySpan.WEEK.value: "The same all week"}


class ClassForm(PageForm):
    """What an adult says of a class, or of the children of a household."""

    name = StringField(
        "Name", [Length(max=80, message="Use 80 letters at most.")],
        description="Such as 5-Heron, or the name of your household. No child’s name.",
    )  # fmt: skip
    tanks = SelectMultipleField(
        "It looks after", option_widget=CheckboxInput(), validate_choice=False
    )
    duty_size = NumberField(
        "Helpers on duty", noun="how many helpers are on duty", low=1, high=MOST_ON_DUTY,
        whole=True, required=True,
    )  # fmt: skip
    duty_span = ChoiceField(
        "How long", noun="how long they are on duty", choices=_SPANS, default=DutySpan.DAY.value
    )
    kept_until = DayField(
        "Keep nicknames until", [Optional()],
        description="Such as the last day of the school year. Then you are asked to replace them.",
    )  # fmt: skip

    @classmethod
    def of(cls, group: Group | None, lines: dict[int, str]) -> Self:
        """The form, empty for a new class."""
        known: dict[str, Any] = {"duty_size": "2", "tanks": [str(tank_id) for tank_id in lines]}
        if group is not None:
            known = {
                "name": group.name,
                "tanks": [str(tank_id) for tank_id in sorted(group.tank_ids)],
                "duty_size": plain(group.duty_size),
                "duty_span": group.duty_span.value,
                "kept_until": group.kept_until,
            }
        form = cls(data=known)
        form.tanks.choices = {str(tank_id): name for tank_id, name in lines.items()}
        return form

    def facts(self) -> ClassFacts | None:
        """What was typed, or None with sentences beside the fields."""
        if not self.validate() or self.duty_size.number is None:
            return None
        chosen = [t for t in self.tanks.data or () if t in (self.tanks.choices or {})]
        return ClassFacts(
            name=self.text("name"),
            tank_ids=frozenset(int(tank_id) for tank_id in chosen),
            duty_size=int(self.duty_size.number),
            duty_span=DutySpan(self.duty_span.data),
            kept_until=self.kept_until.data,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ListPage:
    """All classes; the form is for one more."""

    classes: tuple[Group, ...]
    form: Any


@dataclass(frozen=True, slots=True, kw_only=True)
class SetupPage:
    """What is said of one class."""

    group: Group
    form: Any


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassPage:
    """One class: its rota, its tiles, what waits, and what becomes of its nicknames.

    `left` are tiles that were put away with their nickname; `waiting` is (tank id, name, how many).
    """

    group: Group
    several: bool
    today: date
    this_week: tuple[DutyDay, ...]
    next_week: tuple[DutyDay, ...]
    monday: date
    next_monday: date
    tiles: tuple[Tile, ...]
    left: tuple[Tile, ...]
    past: int
    away: tuple[Away, ...]
    tanks: tuple[tuple[int, str], ...]
    waiting: tuple[tuple[int, str, int], ...]
    asks_to_replace: bool


def _tanks_here() -> dict[int, str]:
    """The tanks that this visitor may give to a class."""
    with database().reading() as session:
        lines = tanks.tank_lines(session)
    return {line.id: line.name for line in lines if visitor().may_see(line.id)}


@bp.get("/classes")
def home() -> ResponseReturnValue:
    """The one class, or the list of them."""
    with database().reading() as session:
        found = classes.classes(session, visitor())
    if len(found) == 1 and found[0].ended_on is None:
        return redirect(url_for("classes.one", class_id=found[0].id), 303)
    return redirect(url_for("classes.all_classes"), 303)


@bp.route("/classes/all", methods=["GET", "POST"])
def all_classes() -> ResponseReturnValue:
    """All classes; add one."""
    form = ClassForm.of(None, _tanks_here())
    if form.is_submitted() and (facts := form.facts()):
        try:
            with database().writing() as session:
                class_id = classes.add(session, facts)
        except Refused as refused:
            form.complain("name", str(refused))
        else:
            flash(f"{facts.name} is there. Add its tiles now.", "saved")
            return redirect(url_for("classes.add_tiles", class_id=class_id), 303)
    with database().reading() as session:
        page = ListPage(classes=classes.classes(session, visitor()), form=form)
    return render_template("classes/all.html", page=page), 422 if form.is_submitted() else 200


@bp.get("/classes/<int:class_id>")
def one(class_id: int) -> ResponseReturnValue:
    """One class."""
    with database().reading() as session:
        found = in_session(session, class_id)
        monday = rota.monday_of(found.today)
        following = monday + timedelta(days=7)
        there = tiles.of_class(session, class_id)
        names = {t.id: t.name for t in tanks.tank_lines(session) if t.id in found.group.tank_ids}
        waiting = approvals.count_waiting(session, list(names), now=now())
        page = ClassPage(
            group=found.group,
            several=len(classes.classes(session, visitor())) > 1,
            today=found.today,
            this_week=rota.week(session, class_id, monday),
            next_week=rota.week(session, class_id, following),
            monday=monday,
            next_monday=following,
            tiles=tuple(t for t in there if t.is_there),
            left=tuple(t for t in there if not t.is_there and t.past_number is None),
            past=sum(t.past_number is not None for t in there),
            away=away.from_day(session, class_id, found.today),
            tanks=tuple(names.items()),
            waiting=tuple((i, names[i], number) for i, number in waiting.items()),
            asks_to_replace=_asks(found, there),
        )
    return render_template("classes/one.html", page=page)


def _asks(found: Here, there: tuple[Tile, ...]) -> bool:
    """Whether the day has come on which the nicknames were to be replaced."""
    until = found.group.kept_until
    named = any(tile.past_number is None for tile in there)
    return named and until is not None and until <= found.today


@bp.route("/classes/<int:class_id>/setup", methods=["GET", "POST"])
def setup(class_id: int) -> ResponseReturnValue:
    """Change what is said of a class."""
    with database().reading() as session:
        group = in_session(session, class_id).group
    form = ClassForm.of(group, _tanks_here())
    if form.is_submitted() and (facts := form.facts()):
        try:
            with database().writing() as session:
                classes.change(session, class_id, facts)
        except Refused as refused:
            form.complain("name", str(refused))
        else:
            flash("Saved.", "saved")
            return redirect(url_for("classes.one", class_id=class_id), 303)
    page = SetupPage(group=group, form=form)
    return render_template("classes/setup.html", page=page), 422 if form.is_submitted() else 200
