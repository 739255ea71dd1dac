"""The demo's months day by day, from one reading of its record: what was due on each.

Every entry counts from the moment at which it happened; what was corrected later is seen as it
stands now. A day is looked at in the morning, at noon and in the evening.
"""

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from typing import Any, Final

from sqlalchemy.orm import Session

from app.domain.calendar import local_day, wall_time
from app.domain.records import Entry, Reading
from app.domain.snapshot import TankSnapshot
from app.knowledge.load import load as knowledge
from app.rules.engine import evaluate
from app.rules.model import Evaluation, Severity
from app.storage import snapshot
from app.storage.models.livestock import StockGroup
from app.storage.queries import livestock, tanks
from app.storage.queries.lived import ENTRIES_BACK, READINGS_BACK

CLOCKS: Final = (time(7, 0), time(12, 0), time(20, 0))
_KINDS: Final = ("feedings", "tests", "jobs", "stock_events", "observations")
_STEP: Final = timedelta(days=30)


@dataclass(frozen=True, slots=True)
class Seen:
    """One tank at one moment, and how many entries were there by then."""

    day: date
    entries: int
    evaluation: Evaluation

    def keys(self, least: Severity) -> frozenset[str]:
        """The tasks that ask for so much or more."""
        return frozenset(t.key for t in self.evaluation.tasks if t.severity >= least)


@dataclass(frozen=True)
class Life:
    """All that one tank's record holds, and its groups before anything happened."""

    whole: TankSnapshot
    groups: Sequence[StockGroup]

    def at(self, moment: datetime) -> TankSnapshot:
        """The tank as of a moment, as far back as the record would be read then."""
        kept: dict[str, Any] = {kind: _kept(getattr(self.whole, kind), moment) for kind in _KINDS}
        readings = tuple(r for r in self.whole.readings if moment - READINGS_BACK < r.at <= moment)
        zone = self.whole.site.zone
        started = tuple(s for s in self.whole.stages if s.on <= local_day(moment, zone))
        return replace(
            self.whole, as_of=moment, readings=readings, stages=started,
            groups=livestock.counted(self.groups, kept["stock_events"]), **kept,
        )  # fmt: skip

    def days(self) -> Iterator[tuple[Seen, ...]]:
        """Each full day between the first and the last entry, looked at three times."""
        zone = self.whole.site.zone
        written = sorted(e.happened_at for e in self._entries())
        first = local_day(written[0], zone)
        facts = knowledge()
        for offset in range(1, (self.whole.today - first).days):
            day = first + timedelta(days=offset)
            found = []
            for clock in CLOCKS:
                moment = wall_time(datetime.combine(day, clock), zone)
                number = bisect_right(written, moment)
                found.append(Seen(day, number, evaluate(self.at(moment), facts)))
            yield tuple(found)

    def _entries(self) -> Iterable[Entry]:
        return (e for kind in _KINDS for e in getattr(self.whole, kind))


def lives(session: Session, now: datetime, months: int = 20) -> dict[str, Life]:
    """Each tank's whole life by its setting, read in steps that overlap."""
    ids = tanks.ids(session)
    moments = [now - _STEP * n for n in range(months, -1, -1)]
    read = [snapshot.load(session, ids, moment) for moment in moments]
    lodgers = livestock.lodgers(session, ids)
    return {
        parts[-1].tank.setting: Life(_whole(parts), lodgers[parts[-1].tank.id].groups)
        for parts in zip(*read, strict=True)
    }


def _whole(parts: Sequence[TankSnapshot]) -> TankSnapshot:
    joined: dict[str, Any] = {
        kind: tuple({item.id: item for part in parts for item in getattr(part, kind)}.values())
        for kind in (*_KINDS, "readings")
    }
    ordered: dict[str, Any] = {
        kind: tuple(sorted(found, key=_happened)) for kind, found in joined.items()
    }
    return replace(parts[-1], **ordered)


def _happened(item: Entry | Reading) -> datetime:
    return item.at if isinstance(item, Reading) else item.happened_at


def _kept(entries: Sequence[Entry], moment: datetime) -> tuple[Entry, ...]:
    """The entries of a window, with the latest of each kind and all changes of the animals."""
    by_then = [e for e in entries if e.happened_at <= moment]
    latest = {getattr(e, "job", ""): e.id for e in by_then}
    return tuple(
        e
        for e in by_then
        if e.happened_at > moment - ENTRIES_BACK or e.id in latest.values() or hasattr(e, "what")
    )


def raised(days: Sequence[tuple[Seen, ...]], least: Severity) -> list[tuple[date, str]]:
    """Each time a task of so much or more came up, with its day."""
    moments = [seen for day in days for seen in day]
    return [
        (now.day, key)
        for before, now in pairwise(moments)
        for key in sorted(now.keys(least) - before.keys(least))
    ]
