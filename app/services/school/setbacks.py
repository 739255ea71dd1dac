"""Hours in which the building of a place is heated less."""

from collections.abc import Iterable
from dataclasses import dataclass

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from app.domain.errors import Refused
from app.domain.tank import Setback
from app.services.transaction import begin_at_site, finish
from app.storage.models.site import Setback as SetbackRow
from app.storage.queries.tanks import digits, setback

# what a room can be while a building stands; against typing errors only
COLDEST_C, WARMEST_C = -10.0, 40.0


@dataclass(frozen=True, slots=True)
class WrittenSetback:
    """Hours as they stand in the settings."""

    id: int
    hours: Setback


def written(session: Session, site_id: int) -> tuple[WrittenSetback, ...]:
    """All such hours of a place."""
    rows = session.scalars(
        select(SetbackRow).where(SetbackRow.site_id == site_id).order_by(SetbackRow.id)
    )
    return tuple(WrittenSetback(row.id, setback(row)) for row in rows)


def add(session: Session, site_id: int, hours: Setback) -> None:
    """Write hours down; what stands there already is not written twice.

    Raises:
        NotFound: If there is no such place.
        Refused: If they never begin, or the room cannot be that cold or warm.
    """
    if not hours.weekdays and not hours.while_away:
        raise Refused("Choose the days on which these hours begin.")
    if hours.room_c is not None and not COLDEST_C <= hours.room_c <= WARMEST_C:
        raise Refused("A room is hardly that cold or warm. Read its thermometer once more.")
    begin_at_site(session, site_id)
    if hours not in _hours(written(session, site_id)):
        session.add(
            SetbackRow(
                site_id=site_id,
                weekdays=digits(hours.weekdays),
                starts=f"{hours.starts:%H:%M}",
                ends=f"{hours.ends:%H:%M}",
                room_c=hours.room_c,
                while_away=hours.while_away,
            )
        )
    finish(session)


def strike(session: Session, site_id: int, setback_id: int) -> None:
    """Strike hours of a place."""
    begin_at_site(session, site_id)
    session.execute(
        delete(SetbackRow).where(SetbackRow.id == setback_id, SetbackRow.site_id == site_id)
    )
    finish(session)


def _hours(found: Iterable[WrittenSetback]) -> set[Setback]:
    return {each.hours for each in found}
