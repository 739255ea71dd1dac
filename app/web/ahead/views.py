"""The list of questions, each with its present answer."""

from dataclasses import dataclass

from flask import render_template
from flask.typing import ResponseReturnValue

from app.knowledge.load import load
from app.services.ahead.overview import QUESTIONS
from app.web.ahead import bp
from app.web.writing.desk import at_desk


@dataclass(frozen=True, slots=True, kw_only=True)
class QuestionShown:
    """One question with its answer; `endpoint` opens its page."""

    endpoint: str
    title: str
    question: str
    answer: str


@bp.get("/tank/<int:tank_id>/ahead")
def overview(tank_id: int) -> ResponseReturnValue:
    """All questions of one tank."""
    snapshot, knowledge = at_desk(tank_id).snapshot, load()
    shown = [
        QuestionShown(
            endpoint=each.endpoint,
            title=each.title,
            question=each.question,
            answer=each.answer(snapshot, knowledge),
        )
        for each in QUESTIONS
    ]
    return render_template("ahead/overview.html", tank_id=tank_id, questions=shown)
