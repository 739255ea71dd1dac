"""What the rules last said of each tank. The rows may be dropped at any time without loss."""

import json
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import bindparam, delete, insert, select, update
from sqlalchemy.orm import Session

from app.domain.maturing import Stage, StageReached
from app.storage.models.evaluation import Evaluation
from app.storage.models.tank import Tank

# columns, not objects: a board reads hundreds; in the order of the fields of `Kept`
_KEPT = select(
    Evaluation.tank_id, Evaluation.revision, Evaluation.version, Evaluation.evaluated_at,
    Evaluation.holds_until, Evaluation.state, Evaluation.state_line, Evaluation.tasks,
).where(Evaluation.tank_id.in_(bindparam("tanks", expanding=True)))  # fmt: skip


@dataclass(frozen=True, slots=True)
class Kept:
    """One kept evaluation; it counts for its revision and version until `holds_until`.

    `tasks` is JSON that only its writer reads.
    """

    tank_id: int
    revision: int
    version: str
    evaluated_at: datetime
    holds_until: datetime
    state: str
    state_line: str
    tasks: str = "[]"
    stages: tuple[StageReached, ...] = ()


def get(session: Session, tank_ids: Sequence[int]) -> dict[int, Kept]:
    """What is kept of these tanks but for their stages, whether or not it still counts."""
    rows = session.execute(_KEPT, {"tanks": tank_ids})
    return {row.tank_id: Kept(*row) for row in rows}


def put(session: Session, kept: Sequence[Kept]) -> None:
    """Keep evaluations in place of those before, in two statements for any number."""
    if not kept:
        return
    session.execute(delete(Evaluation).where(Evaluation.tank_id.in_([k.tank_id for k in kept])))
    session.execute(insert(Evaluation), [_values(k) for k in kept])


def forget_stages(session: Session, tank_id: int, day: date) -> None:
    """Drop what is kept of a tank where a stage rests on tests of this day or later."""
    row = session.get(Evaluation, tank_id)
    if row is not None and any(reached.on >= day for reached in stages(row)):
        session.delete(row)


def forget_texts(session: Session) -> None:
    """Drop all that was worked out, but for the stages that were told; it is worked out anew."""
    session.execute(update(Evaluation).values(version="", state_line="", tasks="[]"))


def _values(kept: Kept) -> dict[str, Any]:
    values = asdict(kept)
    stages = [[s.stage.value, s.on.isoformat()] for s in kept.stages]
    return values | {"stages": json.dumps(stages)}


def revisions(session: Session, tank_ids: Sequence[int]) -> dict[int, int]:
    """How often the record of each of these tanks changed."""
    rows = session.execute(select(Tank.id, Tank.revision).where(Tank.id.in_(tank_ids)))
    return {row.id: row.revision for row in rows}


def stages(row: Evaluation) -> tuple[StageReached, ...]:
    """The stages in a row, in the order in which they were reached."""
    return tuple(
        StageReached(Stage(name), date.fromisoformat(day)) for name, day in json.loads(row.stages)
    )
