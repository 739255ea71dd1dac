"""Tanks for programs: the list, one, and what can be said of it now."""

from datetime import datetime
from typing import Final, cast
from zoneinfo import ZoneInfo

from app.rules import model
from app.rules.model import MealState, State
from app.services import board
from app.services.access.api_tokens import Program
from app.services.api import looking
from app.services.api.looking import Looked
from app.web.api import said
from app.web.api.operation import Operation, Said, operation
from app.web.request import database, now

_MEALS: Final[dict[MealState, said.MealName]] = {
    MealState.NOT_FED: "not_fed",
    MealState.FED: "fed",
    MealState.NO_FOOD: "no_food",
    MealState.TWICE: "fed_twice",
}


@operation(
    Operation(
        name="list_tanks",
        method="GET",
        path="/tanks",
        summary="The tanks that this token reaches",
        answers={200: said.Tanks},
        tagged=True,
    )
)
def list_tanks(program: Program) -> Said:
    """All tanks with their states, in a number of statements that does not grow with them."""
    with database().reading() as session:
        found = board.board(session, now=now(), pupils=True, among=program.tank_ids)
    board.keep(database(), found.fresh)
    lines = (
        said.TankLine(
            id=line.tank_id,
            name=line.place.name,
            state=_state(line.state),
            state_word=line.state.word,
        )
        for line in found.lines
    )
    return Said(said.Tanks(tanks=tuple(lines)))


@operation(
    Operation(
        name="get_tank",
        method="GET",
        path="/tanks/<int:tank>",
        summary="A tank with its volume, its state and what is due",
        answers={200: said.Tank},
        tagged=True,
    )
)
def get_tank(program: Program, tank: int) -> Said:  # noqa: ARG001  # who asks was looked at
    """One tank."""
    with database().reading() as session:
        looked = looking.look(session, tank, now=now())
    seen, site = looked.snapshot.tank, looked.snapshot.site
    evaluation = looked.evaluation
    return Said(
        said.Tank(
            id=seen.id,
            name=seen.name,
            place=site.name,
            zone=site.zone,
            setting="class" if seen.setting == "class" else "home",
            closed_on=seen.closed_on,
            revision=looked.revision,
            net_volume_l=looked.net_l,
            units_read=said.UnitsRead(
                temperature="°F" if site.fahrenheit else "°C",
                volume="US gal" if site.us_gallons else "L",
            ),
            state=_state(evaluation.state),
            state_word=evaluation.state.word,
            state_line=evaluation.state_line,
            tasks=_tasks(looked),
        )
    )


@operation(
    Operation(
        name="get_evaluation",
        method="GET",
        path="/tanks/<int:tank>/evaluation",
        summary="What can be said of a tank now: state, meal, freshness, what is due and why",
        answers={200: said.Evaluated},
        tagged=True,
    )
)
def get_evaluation(program: Program, tank: int) -> Said:  # noqa: ARG001
    """The evaluation of one tank."""
    with database().reading() as session:
        looked = looking.look(session, tank, now=now())
    evaluation, meal = looked.evaluation, looked.meal
    return Said(
        said.Evaluated(
            state=_state(evaluation.state),
            state_word=evaluation.state.word,
            state_line=evaluation.state_line,
            holds_until=_there(looked, evaluation.holds_until),
            meal=said.Meal(
                state=_MEALS[meal.state], word=meal.word, facts=meal.facts, advice=meal.advice
            ),
            kept=tuple(_kept(looked, row) for row in evaluation.freshness),
            tasks=_tasks(looked),
        )
    )


def _state(state: State) -> said.StateName:
    return cast("said.StateName", state.name.lower())


def _there(looked: Looked, moment: datetime) -> datetime:
    """A moment on the clock of the tank."""
    return moment.astimezone(ZoneInfo(looked.snapshot.site.zone))


def _kept(looked: Looked, row: model.Freshness) -> said.Kept:
    return said.Kept(
        name=row.name,
        label=row.label,
        taken_at=None if row.taken_at is None else _there(looked, row.taken_at),
        keeps_until=None if row.keeps_until is None else _there(looked, row.keeps_until),
        fresh=row.is_fresh(now()),
    )


def _tasks(looked: Looked) -> tuple[said.Task, ...]:
    return tuple(
        said.Task(
            key=task.key,
            title=task.action.title,
            reason=task.reason,
            severity=cast("said.SeverityName", task.severity.name.lower()),
            due_at=_there(looked, task.due_at),
            for_adults=task.action.adult,
            clears_when=task.findings[0].clears_when,
        )
        for task in looked.evaluation.tasks
    )
