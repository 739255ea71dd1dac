"""What an adult may say of a task beside doing it: later, not this time, somebody does it."""

from datetime import datetime, timedelta
from typing import Final, Self

from flask import flash, redirect, url_for
from flask.typing import ResponseReturnValue
from wtforms import StringField
from wtforms.validators import Length

from app.domain.calendar import day_start
from app.domain.marks import MarkKind
from app.domain.snapshot import TankSnapshot
from app.rules.model import Severity, Task
from app.services import marks
from app.web.fields import ChoiceField, PageForm, choices_of
from app.web.request import database, now, visitor
from app.web.todo import bp

LONGEST_REASON: Final = 200
LONGEST_NAME: Final = 80
_DAYS: Final = {"1": "Tomorrow", "3": "In 3 days", "7": "In a week"}
# one turn of a job: after it the next one is nobody's again
_GIVEN_FOR: Final = timedelta(days=8)
_WAYS: Final = {
    MarkKind.LATER.value: "Later",
    MarkKind.SKIPPED.value: "Not this time",
    MarkKind.ASSIGNED.value: "Somebody does it",
}


class MarkForm(PageForm):
    """Put off, skip or give a task to somebody; the first two need a reason."""

    way = ChoiceField("What about it", noun="what about it", choices=_WAYS)
    until = ChoiceField(
        "It comes back", noun="when it comes back", choices=_DAYS, default="1",
        description="Sooner, if it grows worse.",
    )  # fmt: skip
    reason = StringField(
        "Why", [Length(max=LONGEST_REASON, message=f"Use {LONGEST_REASON} letters at most.")],
        description="For “Later” and “Not this time”. It stays in the history.",
    )  # fmt: skip
    to = StringField(
        "Who does it", [Length(max=LONGEST_NAME, message=f"Use {LONGEST_NAME} letters at most.")],
        description="For “Somebody does it”: a tile’s nickname, or a role such as technician.",
    )  # fmt: skip

    @classmethod
    def for_task(cls, task: Task) -> Self:
        """The form for a task; what could not wait offers only a name."""
        form = cls()
        if task.severity is Severity.EMERGENCY:
            form.way.choices = {MarkKind.ASSIGNED.value: _WAYS[MarkKind.ASSIGNED.value]}
        return form

    @property
    def may_wait(self) -> bool:
        """Whether the task may be put off or skipped."""
        return MarkKind.LATER.value in choices_of(self.way)

    def is_filled(self) -> bool:
        """Whether what was typed can be kept; else sentences stand beside the fields."""
        self.validate()
        given = self.way.data == MarkKind.ASSIGNED.value
        if self.way.data in _WAYS and not given and not self.text("reason"):
            self.complain("reason", "Say why in a few words.")
        if given and not self.text("to"):
            self.complain("to", "Say who does it.")
        return not self.errors

    def until_moment(self, snapshot: TankSnapshot) -> datetime:
        """The beginning of the tank's day on which it comes back."""
        back = snapshot.today + timedelta(days=int(self.until.data))
        return day_start(back, snapshot.site.zone)


def keep(form: MarkForm, task: Task, snapshot: TankSnapshot) -> None:
    """Keep what the form says of the task.

    Raises:
        Refused: Where the service refuses it.
    """
    tank_id, author_id = snapshot.tank.id, visitor().author_id
    severity = int(task.severity)
    with database().writing() as session:
        if form.way.data == MarkKind.ASSIGNED.value:
            week = day_start(snapshot.today + _GIVEN_FOR, snapshot.site.zone)
            marks.assign(
                session, tank_id, task.key, form.text("to"), until=week,
                author_id=author_id, severity=severity, now=now(),
            )  # fmt: skip
            return
        marks.set_aside(
            session, tank_id, task.key, form.until_moment(snapshot), form.text("reason"),
            kind=MarkKind(form.way.data), author_id=author_id, severity=severity, now=now(),
        )  # fmt: skip


@bp.post("/tank/<int:tank_id>/marks/<int:mark_id>/end")
def end_mark(tank_id: int, mark_id: int) -> ResponseReturnValue:
    """Bring a task back that was put off, skipped or given away."""
    with database().writing() as session:
        marks.take_back(session, tank_id, mark_id, now=now())
    flash("It stands in the list again.", "saved")
    return redirect(url_for("todo.todo", tank_id=tank_id), 303)
