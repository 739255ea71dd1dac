"""What is due and why: snapshots to evaluations, for one tank or for hundreds."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from sqlalchemy.orm import Session

from app.domain.errors import NotFound
from app.domain.snapshot import TankSnapshot
from app.estimates.outlook import oxygen_outlook
from app.knowledge.load import load
from app.rules.engine import evaluate
from app.rules.kit_offset import with_doubts
from app.rules.marking import with_marks
from app.rules.model import Evaluation
from app.services import marks
from app.services.own_species import known
from app.storage import snapshot
from app.storage.queries import tanks


def snapshot_of(
    session: Session, tank_id: int, *, now: datetime, as_of: datetime | None = None
) -> TankSnapshot:
    """All that is known of one tank at `now`, or was known at a past moment.

    Raises:
        NotFound: If there is no such tank.
    """
    past = as_of is not None and as_of < now
    found = snapshot.load(session, [tank_id], as_of or now, past=past)
    if not found:
        raise NotFound("There is no such tank.")
    return with_doubts(found[0], load())


def look(
    session: Session,
    tank_ids: Sequence[int] | None = None,
    *,
    now: datetime,
    as_of: datetime | None = None,
    pupils: bool = False,
) -> dict[int, tuple[TankSnapshot, Evaluation]]:
    """State, tasks and meal answer of tanks; the number of statements does not grow with them.

    Args:
        session: A session; nothing is written.
        tank_ids: Which tanks; None for all that are not closed.
        now: The present moment.
        as_of: A past moment to look from, with what was recorded by then.
        pupils: Look as pupils do: without the losses that they were not told of yet.

    Raises:
        NotFound: If one tank was asked for and is not there.
    """
    wanted = tanks.ids(session) if tank_ids is None else list(tank_ids)
    past = as_of is not None and as_of < now
    found = snapshot.load(session, wanted, as_of or now, past=past)
    if tank_ids is not None and len(found) < len(set(wanted)):
        raise NotFound("There is no such tank.")
    said = marks.marks_of(session, [s.tank.id for s in found], now=as_of or now)
    answers = {}
    for each in found:
        knowledge = known(session, each.site.id)
        doubted = with_doubts(each, knowledge)
        shown = doubted.for_pupils() if pupils else doubted
        seen = replace(shown, oxygen=oxygen_outlook(shown, knowledge))
        marked = with_marks(evaluate(seen, knowledge), said[seen.tank.id], seen.as_of)
        answers[seen.tank.id] = (seen, marked)
    return answers
