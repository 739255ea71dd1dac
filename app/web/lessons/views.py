"""The list of lessons, the sheet of a month, and the guided lessons, each with its answers."""

from datetime import date, datetime

from flask import render_template, request
from flask.typing import ResponseReturnValue
from sqlalchemy.orm import Session

from app.domain.errors import NotFound
from app.domain.snapshot import TankSnapshot
from app.knowledge.load import load
from app.services import tasks
from app.services.lessons import month as maker
from app.services.lessons.registry import guided as guided_lesson
from app.web.lessons import bp
from app.web.lessons.pages import SheetPage, guided_sheet, month_sheet, overview_page
from app.web.request import database, now, show_state

_NO_MONTH = "There is no such month."


@bp.get("/tank/<int:tank_id>/lessons")
def start(tank_id: int) -> ResponseReturnValue:
    """What a month shows, and the guided lessons."""
    asked = request.args.get("month", "")
    with database().reading() as session:
        snapshot = _told(session, tank_id)
        months = maker.months(session, snapshot)
        seen = (
            maker.look(session, snapshot, load(), _first_day(asked))
            if asked
            else maker.newest(session, snapshot, load())
        )
    page = overview_page(tank_id, months, seen, load())
    return render_template("lessons/overview.html", page=page)


@bp.get("/tank/<int:tank_id>/lessons/month/<month>/<key>")
def month(tank_id: int, month: str, key: str) -> ResponseReturnValue:
    """The pupils' sheet of one feature of a month."""
    return render_template("lessons/sheet.html", page=_of_month(tank_id, month, key))


@bp.get("/tank/<int:tank_id>/lessons/month/<month>/<key>/answers")
def month_answers(tank_id: int, month: str, key: str) -> ResponseReturnValue:
    """Its answers, for the teacher."""
    return render_template("lessons/answers.html", page=_of_month(tank_id, month, key))


@bp.get("/tank/<int:tank_id>/lessons/guided/<key>")
def guided(tank_id: int, key: str) -> ResponseReturnValue:
    """A guided lesson with the tank's own numbers."""
    return render_template("lessons/sheet.html", page=_of_lesson(tank_id, key))


@bp.get("/tank/<int:tank_id>/lessons/guided/<key>/answers")
def guided_answers(tank_id: int, key: str) -> ResponseReturnValue:
    """Its answers, for the teacher."""
    return render_template("lessons/answers.html", page=_of_lesson(tank_id, key))


def _of_month(tank_id: int, asked: str, key: str) -> SheetPage:
    first = _first_day(asked)
    with database().reading() as session:
        snapshot = _told(session, tank_id)
        found = maker.one(session, snapshot, load(), first, key)
    return month_sheet(snapshot, first, found, load())


def _of_lesson(tank_id: int, key: str) -> SheetPage:
    lesson = guided_lesson(key)
    if lesson is None:
        raise NotFound("There is no such lesson.")
    with database().reading() as session:
        snapshot = _told(session, tank_id)
        filled = lesson.fill(session, snapshot, load())
    return guided_sheet(snapshot, lesson, filled, load())


def _told(session: Session, tank_id: int) -> TankSnapshot:
    """The tank as pupils know it: a lesson is no place to learn of a loss."""
    snapshot, evaluation = tasks.look(session, [tank_id], now=now(), pupils=True)[tank_id]
    show_state(evaluation)
    return snapshot


def _first_day(asked: str) -> date:
    """The first day of a month that an address names.

    Raises:
        NotFound: If it names none.
    """
    try:
        return datetime.strptime(asked, "%Y-%m").date()  # noqa: DTZ007  # a month has no zone
    except ValueError:
        raise NotFound(_NO_MONTH) from None
