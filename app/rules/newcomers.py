"""Which animals are new, which were there when the record began, and which come too early."""

from datetime import date, timedelta
from typing import Final

from app.domain.records import JobKind, StockEvent, StockEventKind
from app.domain.snapshot import TankSnapshot
from app.knowledge.model import Knowledge
from app.rules.intervals import first_written
from app.rules.maturing import Maturing, stage
from app.rules.starting import STARTING

CAME: Final = (StockEventKind.ARRIVED, StockEventKind.MOVED_IN)


def new_arrivals(snapshot: TankSnapshot) -> tuple[StockEvent, ...]:
    """Animals that came to the tank; those that were there when its record began are left out.

    They were there when a grown-up wrote, on the record's first day, that the filter was ready.
    """
    began, ready = first_written(snapshot), snapshot.tank.mature_on
    return tuple(
        e
        for e in snapshot.stock_events
        if e.what in CAME
        and not (e.local_day == began and ready is not None and ready <= e.local_day)
    )


def comes_early(snapshot: TankSnapshot, day: date, knowledge: Knowledge) -> Maturing | None:
    """How far the filter is, where animals that come on `day` come too early; else None.

    Animals with which the record of a tank of unknown or greater age begins were there before:
    nobody is asked about them, unless a step of starting was ticked off: then the tank is new.
    """
    now = stage(snapshot, knowledge)
    if now.ready:
        return None
    began, started = first_written(snapshot), snapshot.tank.started_on
    youngest = timedelta(days=knowledge.value("keeps.mature-after-days"))
    starting = any(job.step.startswith(STARTING) for job in snapshot.jobs_of(JobKind.STEP))
    is_old = not starting and (started is None or day - started >= youngest)
    return None if is_old and (began is None or day <= began) else now
