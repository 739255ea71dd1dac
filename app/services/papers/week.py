"""The seven days of a wall chart and of a catch-up strip, with what is planned on each."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from sqlalchemy.orm import Session

from app.domain.calendar import somebody_comes
from app.domain.snapshot import TankSnapshot
from app.rules.meal import is_feed_day
from app.services.school import rota

DAYS: Final = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekRow:
    """One day; `number` is the row's own, the same as in the grid where it is typed in later.

    `food` says whether food is planned, `tiles` are the nicknames of those on duty.
    """

    number: int
    day: date
    somebody: bool
    food: bool
    tiles: tuple[str, ...] = ()


def week(session: Session, snapshot: TankSnapshot, first: date) -> tuple[WeekRow, ...]:
    """The seven days from `first` on."""
    rows = []
    for offset in range(DAYS):
        day = first + timedelta(days=offset)
        rows.append(
            WeekRow(
                number=offset + 1,
                day=day,
                somebody=somebody_comes(snapshot.site, day),
                food=is_feed_day(snapshot, day),
                tiles=tuple(h.name for h in rota.on_duty(session, snapshot.tank.id, day)),
            )
        )
    return tuple(rows)
