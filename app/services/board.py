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
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import UTC, date, datetime, timedelta

from sqlalchemy.exc import DBAPIError
from sqlalchemy.orm import Session

from app.domain.calendar import present_days_since
from app.domain.snapshot import TankSnapshot, last
from app.domain.wording import count
from app.knowledge.load import load
from app.rules.maturing import stages_reached
from app.rules.model import Evaluation, State
from app.services import stages, tasks
from app.storage.base import folded
from app.storage.engine import Database
from app.storage.queries import evaluations, livestock, overview
from app.storage.queries.evaluations import Kept
from app.storage.queries.overview import TankPlace

_LOG = logging.getLogger(__name__)
_ORDER = (State.ACT_NOW, State.ACT, State.DONT_KNOW, State.WATCH, State.STEADY)
# what is kept of a tank is written in this form; another form makes what was kept void
_FORM = "2"
# tanks that are worked out at a time: what all of them need at once would be gigabytes
_AT_ONCE = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """What is kept of an evaluation beside its state; empty texts and 0 where nothing is due.

    `reason` is why the first task is there, `since` the moment (in ISO text) since when, and
    `certain` whether it was measured or seen. `unseen_days` counts the days that went by without a
    look and on which somebody was meant to come; `away` says that today nobody is, in a break
    or on a holiday. `child_line` and `child_first` say it for pupils.
    """

    first: str = ""
    reason: str = ""
    since: str = ""
    certain: bool = True
    unseen_days: int = 0
    away: bool = False
    child_line: str = ""
    child_first: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardLine:
    """One tank: where it stands, its state, what that means, and what is known of why."""

    place: TankPlace
    state: State
    state_line: str
    outline: Outline

    @property
    def tank_id(self) -> int:
        """The number of the tank."""
        return self.place.tank_id

    @property
    def child_line(self) -> str:
        """What its state means, for pupils."""
        return self.outline.child_line

    @property
    def since(self) -> datetime | None:
        """Since when its first task is due, or nobody looked; None: never looked at."""
        return datetime.fromisoformat(self.outline.since) if self.outline.since else None

    @property
    def rests(self) -> bool:
        """Whether its only matter is that nobody looked, and nobody is meant to come today."""
        return self.state is State.DONT_KNOW and self.outline.away

    @property
    def is_exception(self) -> bool:
        """Whether it belongs on a board that shows only what needs somebody."""
        unseen = self.outline.unseen_days >= load().value("board.unseen-days")
        return self.state in {State.ACT_NOW, State.ACT} or (
            self.state is State.DONT_KNOW and unseen and not self.rests
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """Which tanks to show: of a place, room, round, equipment lot, fish batch, in a state.

    None and "" stand for any. Texts are compared whole, whatever their case and marks.
    """

    site_id: int | None = None
    room: str = ""
    round: str = ""
    lot: str = ""
    batch: str = ""
    state: State | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """Tanks that are not closed, the neediest first; `fresh` is what was worked out anew.

    `places` are those of all tanks that may be seen, whichever were wanted.
    """

    lines: tuple[BoardLine, ...]
    fresh: tuple[Kept, ...]
    places: tuple[TankPlace, ...] = ()

    @property
    def exceptions(self) -> tuple[BoardLine, ...]:
        """Those that need somebody."""
        return tuple(line for line in self.lines if line.is_exception)

    @property
    def resting(self) -> tuple[BoardLine, ...]:
        """Those that nobody looked at, in a break or on a holiday."""
        return tuple(line for line in self.lines if line.rests)


@functools.cache
def version() -> str:
    """What answers depend on beside the record: the knowledge, the rules, the estimates."""
    digest = hashlib.sha256(f"{_FORM} {load().version}".encode())
    for folder in ("app.rules", "app.estimates", "app.science", "app.domain"):
        files = importlib.resources.files(folder).iterdir()
        for file in sorted((f for f in files if f.name.endswith(".py")), key=lambda f: f.name):
            digest.update(file.read_bytes())
    return digest.hexdigest()


def tank_places(session: Session, among: Collection[int] | None = None) -> tuple[TankPlace, ...]:
    """Where all tanks stand that are not closed, by name; `among` these numbers, if any."""
    return tuple(overview.tank_places(session, among))


def few_tanks() -> int:
    """Up to how many tanks are all shown; of more only those that need somebody."""
    return int(load().value("board.few-tanks"))


def board(
    session: Session,
    *,
    now: datetime,
    pupils: bool = False,
    among: Collection[int] | None = None,
    wanted: Wanted | None = None,
) -> Board:
    """How tanks stand: all, or those `among` the numbers given that are `wanted`.

    Nothing is written; see `keep`. For `pupils` tanks with losses that they were not told of are
    looked at without these.
    """
    places = overview.tank_places(session, among)
    wanted = wanted or Wanted()
    chosen = {place.tank_id: place for place in _chosen(session, places, wanted)}
    kept = evaluations.get(session, list(chosen))
    revisions = {tank_id: place.revision for tank_id, place in chosen.items()}
    untold = livestock.tanks_with_untold(session, list(chosen)) if pupils else frozenset()
    counting = {i: k for i, k in kept.items() if i not in untold and _counts(k, revisions[i], now)}
    lacking = [tank_id for tank_id in chosen if tank_id not in counting]
    made: list[Kept] = []
    for at in range(0, len(lacking), _AT_ONCE):
        found = tasks.look(session, lacking[at : at + _AT_ONCE], now=now, pupils=pupils)
        told = stages.recalled(session, (s for i, (s, _) in found.items() if i not in kept))
        made += to_keep(found, revisions, told)
    rows = [*counting.values(), *made]
    lines = sorted((_line(k, chosen[k.tank_id]) for k in rows), key=_urgency)
    return Board(
        lines=tuple(line for line in lines if wanted.state in {None, line.state}),
        fresh=tuple(k for k in made if k.tank_id not in untold),
        places=tuple(places),
    )


def _chosen(session: Session, places: Sequence[TankPlace], wanted: Wanted) -> tuple[TankPlace, ...]:
    found = tuple(
        place
        for place in places
        if wanted.site_id in {None, place.site_id}
        and _same(wanted.room, place.room)
        and _same(wanted.round, place.round)
    )
    for text, having in (
        (wanted.lot, overview.tanks_with_lot),
        (wanted.batch, overview.tanks_with_batch),
    ):
        if text:
            those = having(session, text)
            found = tuple(place for place in found if place.tank_id in those)
    return found


def _same(wanted: str, text: str) -> bool:
    return not wanted or folded(wanted) == folded(text)


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
    return Kept(
        tank_id=snapshot.tank.id,
        revision=revision,
        version=version(),
        evaluated_at=snapshot.as_of,
        holds_until=seen.holds_until,
        state=seen.state.value,
        state_line=seen.state_line,
        tasks=json.dumps(asdict(_outline(snapshot, seen))),
        stages=stages_reached(snapshot, load()),
    )


def _outline(snapshot: TankSnapshot, seen: Evaluation) -> Outline:
    look, site = last(snapshot.observations), snapshot.site
    looked = look.happened_at if look else None
    unseen = 0
    if seen.state is State.DONT_KNOW:
        unseen = present_days_since(site, _first_unseen(snapshot), snapshot.today - timedelta(1))
    common = Outline(
        unseen_days=unseen,
        away=any(b.holds(snapshot.today) for b in site.away),
        child_line=seen.child_line,
    )
    if not seen.tasks:
        return replace(common, since=_iso(looked))
    task = seen.tasks[0]
    finding = task.findings[0]
    since = looked if seen.state is State.DONT_KNOW else min(finding.due_at, snapshot.as_of)
    return replace(
        common,
        first=task.action.title,
        child_first=task.action.child_title,
        reason=_unseen_words(unseen) or finding.reason,
        since=_iso(since),
        certain=finding.certain,
    )


def _first_unseen(snapshot: TankSnapshot) -> date:
    """The day of the last look; without any, that of the first entry or of filling the tank."""
    look = last(snapshot.observations)
    if look is not None:
        return look.local_day
    entries = (snapshot.stock_events, snapshot.feedings, snapshot.tests, snapshot.jobs)
    days = [each[0].local_day for each in entries if each]
    return min([*days, snapshot.tank.started_on or snapshot.today])


def _unseen_words(days: int) -> str:
    if not days:
        return ""
    return f"Nobody looked on {count(days, 'day', 'days')} on which somebody was meant to come."


def _iso(moment: datetime | None) -> str:
    return "" if moment is None else moment.astimezone(UTC).isoformat()


def _line(kept: Kept, place: TankPlace) -> BoardLine:
    return BoardLine(
        place=place,
        state=State(kept.state),
        state_line=kept.state_line,
        outline=Outline(**json.loads(kept.tasks)),
    )


def _urgency(line: BoardLine) -> tuple[int, bool, str, str, int]:
    """By harm, certainty, staleness: the state, whether it was measured, since when."""
    outline = line.outline
    name = line.place.name.casefold()
    return (_ORDER.index(line.state), not outline.certain, outline.since, name, line.tank_id)
