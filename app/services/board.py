"""All tanks in a constant number of statements: what was kept of each, or worked out anew.

A kept line counts only for the same revision of the tank, the same knowledge and rules, and
from the moment it was worked out until time alone could change it. Keeping is best effort: a
page never waits for it, and the rows may be dropped at any time.
"""

import functools
import hashlib
import importlib.resources
import json
import logging
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from app.domain.snapshot import TankSnapshot
from app.knowledge.load import load
from app.rules.maturing import stages_reached
from app.rules.model import Evaluation, State
from app.services import stages, tanks, tasks
from app.storage.engine import Database
from app.storage.queries import evaluations, livestock
from app.storage.queries.evaluations import Kept

_LOG = logging.getLogger(__name__)
_ORDER = (State.ACT_NOW, State.ACT, State.DONT_KNOW, State.WATCH, State.STEADY)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardLine:
    """One tank: its state, what that means, and the first thing to do ("" for nothing).

    `child_line` and `child_first` say it for pupils.
    """

    tank_id: int
    name: str
    state: State
    state_line: str
    first: str
    child_line: str
    child_first: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """All tanks that are not closed, the neediest first; `fresh` is what was worked out anew."""

    lines: tuple[BoardLine, ...]
    fresh: tuple[Kept, ...]


@functools.cache
def version() -> str:
    """What answers depend on beside the record: the knowledge, the rules, the estimates."""
    digest = hashlib.sha256(load().version.encode())
    for folder in ("app.rules", "app.estimates", "app.science", "app.domain"):
        files = importlib.resources.files(folder).iterdir()
        for file in sorted((f for f in files if f.name.endswith(".py")), key=lambda f: f.name):
            digest.update(file.read_bytes())
    return digest.hexdigest()


def board(session: Session, *, now: datetime, pupils: bool = False) -> Board:
    """How all tanks stand. Nothing is written; see `keep`.

    For `pupils` tanks with losses that they were not told of are looked at without these.
    """
    names = {line.id: line.name for line in tanks.tank_lines(session)}
    kept = evaluations.get(session, list(names))
    revisions = evaluations.revisions(session, list(names))
    untold = livestock.tanks_with_untold(session, list(names)) if pupils else frozenset()
    counting = {i: k for i, k in kept.items() if i not in untold and _counts(k, revisions[i], now)}
    lacking = [tank_id for tank_id in names if tank_id not in counting]
    found = tasks.look(session, lacking, now=now, pupils=pupils) if lacking else {}
    told = stages.recalled(session, (s for i, (s, _) in found.items() if i not in kept))
    made = to_keep(found, revisions, told)
    rows = [*counting.values(), *made]
    lines = sorted((_line(k, names[k.tank_id]) for k in rows), key=_place)
    return Board(lines=tuple(lines), fresh=tuple(k for k in made if k.tank_id not in untold))


def to_keep(
    found: Mapping[int, tuple[TankSnapshot, Evaluation]],
    revisions: Mapping[int, int],
    told: Mapping[int, TankSnapshot],
) -> tuple[Kept, ...]:
    """Evaluations as they are kept; `revisions` are those of the same reading.

    `told` are snapshots whose stages were told anew: these are kept, but an evaluation that
    did not know them counts for nobody.
    """
    rows = []
    for tank_id, (snapshot, seen) in found.items():
        known = told.get(tank_id, snapshot)
        row = _kept(known, seen, revisions[tank_id])
        rows.append(row if known.stages == snapshot.stages else replace(row, version=""))
    return tuple(rows)


def keep(database: Database, fresh: Iterable[Kept]) -> None:
    """Keep what was worked out, unless somebody writes just now or the record has changed."""
    rows = list(fresh)
    if not rows:
        return
    try:
        with database.writing_if_free() as session:
            if session is None:
                return
            revisions = evaluations.revisions(session, [row.tank_id for row in rows])
            still = [row for row in rows if revisions.get(row.tank_id) == row.revision]
            evaluations.put(session, still)
            session.commit()
    except DBAPIError:
        _LOG.warning("what was worked out could not be kept", exc_info=True)


def _counts(kept: Kept, revision: int, now: datetime) -> bool:
    fits = kept.revision == revision and kept.version == version()
    return fits and kept.evaluated_at <= now < kept.holds_until


def _kept(snapshot: TankSnapshot, seen: Evaluation, revision: int) -> Kept:
    first: Sequence[str] = ("", "")
    if seen.tasks:
        first = (seen.tasks[0].action.title, seen.tasks[0].action.child_title)
    return Kept(
        tank_id=snapshot.tank.id,
        revision=revision,
        version=version(),
        evaluated_at=snapshot.as_of,
        holds_until=seen.holds_until,
        state=seen.state.value,
        state_line=seen.state_line,
        tasks=json.dumps([seen.child_line, *first]),
        stages=stages_reached(snapshot, load()),
    )


def _line(kept: Kept, name: str) -> BoardLine:
    child_line, first, child_first = json.loads(kept.tasks) or ("", "", "")
    return BoardLine(
        tank_id=kept.tank_id,
        name=name,
        state=State(kept.state),
        state_line=kept.state_line,
        first=first,
        child_line=child_line,
        child_first=child_first,
    )


def _place(line: BoardLine) -> tuple[int, str, int]:
    return (_ORDER.index(line.state), line.name.casefold(), line.tank_id)
