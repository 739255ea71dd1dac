"""What stands on a door or a projector: feeding, state, the last look, what to do first."""

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from sqlalchemy.orm import Session

from app.domain.snapshot import TankSnapshot
from app.knowledge.load import load
from app.rules.look import looked_from_far
from app.rules.meal import meal_answer
from app.rules.model import MealAnswer, State
from app.services import tasks

FIRST_TASKS: Final = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """One tank for whoever walks by: nobody is named, and no loss that pupils were not told of.

    `first` are at most three lines of what to do; where nothing is due `line` says what the state
    means, else it is "".
    """

    snapshot: TankSnapshot
    meal: MealAnswer
    state: State
    line: str
    looked: str
    first: tuple[str, ...]


def door(session: Session, tank_id: int, *, now: datetime) -> Door:
    """The door view of a tank.

    Raises:
        NotFound: If there is no such tank.
    """
    snapshot, seen = tasks.look(session, [tank_id], now=now, pupils=True)[tank_id]
    lines = dict.fromkeys(task.action.child_title for task in seen.tasks)
    return Door(
        snapshot=snapshot,
        meal=meal_answer(snapshot.without_hands(), load()),
        state=seen.state,
        line="" if lines or seen.state is State.DONT_KNOW else seen.child_line,
        looked=looked_from_far(snapshot),
        first=tuple(lines)[:FIRST_TASKS],
    )
