"""From when a job counts that was done, or never written: days and due moments."""

from collections.abc import Iterator, Sequence
from datetime import date, datetime, timedelta

from app.domain.calendar import day_start
from app.domain.records import Entry
from app.domain.snapshot import TankSnapshot


def first_written(snapshot: TankSnapshot) -> date | None:
    """The day of the oldest entry at hand, or None without entries."""
    groups: tuple[Sequence[Entry], ...] = (
        snapshot.feedings,
        snapshot.observations,
        snapshot.jobs,
        snapshot.tests,
        snapshot.stock_events,
    )
    return min((group[0].local_day for group in groups if group), default=None)


def start_day(snapshot: TankSnapshot) -> date | None:
    """From when a job counts that was never written: the record knows nothing older.

    The later one of the tank's start and the oldest entry at hand; None without entries.
    """
    written = first_written(snapshot)
    started = snapshot.tank.started_on
    return written if started is None or written is None else max(started, written)


def due_after(since: date, days: int, snapshot: TankSnapshot) -> datetime:
    """The first moment of the local day so many days after another."""
    return day_start(since + timedelta(days=days), snapshot.site.zone)


def on_time(since: date | None, every: int, today: date, until: date) -> Iterator[date]:
    """The days after `today` up to `until` on which a job comes due, done on time from now on.

    What is due already counts as done today. None or no interval: it is not planned.
    """
    if since is None or every <= 0:
        return
    step = timedelta(days=every)
    day = since + step
    if day <= today:
        day = today + step
    while day <= until:
        yield day
        day += step
