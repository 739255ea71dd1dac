"""What is due and why: snapshots to evaluations, for one tank or for hundreds."""

from collections.abc import Sequence
from datetime import datetime

from sqlalchemy.orm import Session

from app.domain.errors import NotFound
from app.domain.snapshot import TankSnapshot
from app.knowledge.load import load
from app.rules.engine import evaluate
from app.rules.model import Evaluation
from app.storage import snapshot
from app.storage.queries import tanks


def snapshot_of(session: Session, tank_id: int, *, now: datetime) -> TankSnapshot:
    """All that is known of one tank at `now`.

    Raises:
        NotFound: If there is no such tank.
    """
    found = snapshot.load(session, [tank_id], now)
    if not found:
        raise NotFound("There is no such tank.")
    return found[0]


def look(
    session: Session,
    tank_ids: Sequence[int] | None = None,
    *,
    now: datetime,
    as_of: datetime | None = None,
) -> dict[int, tuple[TankSnapshot, Evaluation]]:
    """State, tasks and meal answer of tanks; the number of statements does not grow with them.

    Args:
        session: A session; nothing is written.
        tank_ids: Which tanks; None for all that are not closed.
        now: The present moment.
        as_of: A past moment to look from, with what was recorded by then.

    Raises:
        NotFound: If one tank was asked for and is not there.
    """
    wanted = tanks.ids(session) if tank_ids is None else list(tank_ids)
    past = as_of is not None and as_of < now
    found = snapshot.load(session, wanted, as_of or now, past=past)
    if tank_ids is not None and len(found) < len(set(wanted)):
        raise NotFound("There is no such tank.")
    knowledge = load()
    return {s.tank.id: (s, evaluate(s, knowledge)) for s in found}
