"""How a tank is, as a program may know it: what pupils know, and no names."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from app.domain.measures import net_volume
from app.domain.snapshot import TankSnapshot
from app.knowledge.load import load
from app.rules.meal import meal_answer
from app.rules.model import Evaluation, MealAnswer
from app.services import tanks, tasks


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """One tank at a moment; `net_l` is None while its volume cannot be told."""

    snapshot: TankSnapshot
    evaluation: Evaluation
    meal: MealAnswer
    net_l: float | None
    revision: int


def look(session: Session, tank_id: int, *, now: datetime) -> Looked:
    """State, tasks and meal answer of a tank without losses that pupils were not told of.

    Raises:
        NotFound: If there is no such tank.
    """
    revision = tanks.revision(session, tank_id)
    snapshot, evaluation = tasks.look(session, [tank_id], now=now, pupils=True)[tank_id]
    volume = net_volume(snapshot.tank.shape)
    return Looked(
        snapshot=snapshot,
        evaluation=evaluation,
        meal=meal_answer(snapshot.without_hands(), load()),
        net_l=None if volume is None else round(volume.net_l, 2),
        revision=revision,
    )
