"""Which animals are new, and which were there when the record began."""

from typing import Final

from app.domain.records import StockEvent, StockEventKind
from app.domain.snapshot import TankSnapshot
from app.rules.intervals import first_written

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
