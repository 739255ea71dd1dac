"""Households and schools: their zones and days, their breaks, their tap water."""

from dataclasses import asdict, dataclass, field
from datetime import date
from typing import Any, Final
from zoneinfo import ZoneInfo

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.errors import NotFound, Refused
from app.domain.quantities import Quantity
from app.domain.tank import Site
from app.services.names import required
from app.services.transaction import NO_PLACE, begin_at_site, finish, site_of
from app.storage.base import folded
from app.storage.models.entry import Entry
from app.storage.models.site import Site as SiteRow
from app.storage.models.site import TapReading
from app.storage.models.tank import Tank as TankRow
from app.storage.queries import logger_days, tanks
from app.storage.queries.tanks import digits

# the shore of the Dead Sea and the highest towns; both from memory, only against typing errors
_LOWEST_M, _HIGHEST_M = -450.0, 5500.0
FIRST: Final = 1
"""The place that a record begins with."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteDraft:
    """What somebody typed about the household or school."""

    name: str
    zone: str
    present_weekdays: frozenset[int] = field(default_factory=lambda: frozenset(range(7)))
    fahrenheit: bool = False
    us_gallons: bool = False
    chloramine: str = "unknown"
    elevation_m: float | None = None


def places(session: Session) -> tuple[Site, ...]:
    """All households and schools without their breaks and tap water, in one statement."""
    return tanks.sites_without_days(session)


def place(session: Session, site_id: int) -> Site:
    """One household or school.

    Raises:
        NotFound: If there is no such place.
    """
    found = tanks.sites(session).get(site_id)
    if found is None:
        raise NotFound(NO_PLACE)
    return found


def site(session: Session, tank_id: int) -> Site:
    """The household or school in which a tank stands.

    Raises:
        NotFound: If there is no such tank.
    """
    return place(session, site_of(session, tank_id))


def without_days(session: Session, tank_id: int) -> Site:
    """The place of a tank without its breaks and its tap water, in one statement.

    Raises:
        NotFound: If there is no such tank.
    """
    found = tanks.site_without_days(session, tank_id)
    if found is None:
        raise NotFound("There is no such tank.")
    return found


def with_breaks(session: Session, tank_id: int) -> Site:
    """The place of a tank with its breaks alone, in one statement.

    Raises:
        NotFound: If there is no such tank.
    """
    found = tanks.site_with_breaks(session, tank_id)
    if found is None:
        raise NotFound("There is no such tank.")
    return found


def add_site(session: Session, draft: SiteDraft) -> int:
    """One more household or school; returns its id.

    Raises:
        Refused: If the name is empty or taken, there is no such zone or place so low or high.
    """
    values = _columns(draft)
    _refuse_twin(session, values["name"])
    row = SiteRow(**values)
    session.add(row)
    session.flush()
    finish(session)
    return row.id


def set_site(session: Session, draft: SiteDraft, site_id: int = FIRST) -> None:
    """Change a place; a new zone moves every entry to its local day at once.

    In an empty record the first one is made.

    Raises:
        NotFound: If there is no such place.
        Refused: If the name is empty or taken, there is no such zone or place so low or high.
    """
    values = _columns(draft)
    _refuse_twin(session, values["name"], but=site_id)
    if not places(session):
        session.add(SiteRow(**values))
    else:
        begin_at_site(session, site_id)
        row = session.get_one(SiteRow, site_id)
        zone_moved = row.zone != draft.zone
        for column, value in values.items():
            setattr(row, column, value)
        if zone_moved:
            _move_days(session, row.id, draft.zone)
    finish(session)


def _refuse_twin(session: Session, name: str, *, but: int | None = None) -> None:
    if any(folded(p.name) == folded(name) and p.id != but for p in places(session)):
        raise Refused(f"There is a place called {name} already.")


def _columns(draft: SiteDraft) -> dict[str, Any]:
    name = required(draft.name, "Enter a name for the household or the school.")
    try:
        ZoneInfo(draft.zone)
    except (KeyError, ValueError, OSError):
        raise Refused(f"There is no time zone called {draft.zone}.") from None
    if draft.elevation_m is not None and not _LOWEST_M <= draft.elevation_m <= _HIGHEST_M:
        raise Refused("Enter how high the place lies above the sea, in meters.")
    return {**asdict(draft), "name": name, "present_weekdays": digits(draft.present_weekdays)}


def _move_days(session: Session, site_id: int, zone: str) -> None:
    rows = session.execute(
        select(Entry.id, Entry.happened_at, Entry.local_day)
        .join(TankRow, TankRow.id == Entry.tank_id)
        .where(TankRow.site_id == site_id)
    ).all()
    moved = [
        {"id": entry_id, "local_day": local_day(at, zone)}
        for entry_id, at, day in rows
        if local_day(at, zone) != day
    ]
    if moved:
        session.execute(update(Entry), moved)
    logger_days.summarize_all(session, site_id)


def set_tap(
    session: Session,
    site_id: int,
    quantity: Quantity,
    value: float | None,
    tested_on: date | None,
) -> None:
    """What the tap water of a place itself holds, in the kept unit; None forgets it."""
    begin_at_site(session, site_id)
    session.execute(
        delete(TapReading).where(
            TapReading.site_id == site_id, TapReading.quantity == quantity.value
        )
    )
    if value is not None:
        session.add(
            TapReading(site_id=site_id, quantity=quantity.value, value=value, tested_on=tested_on)
        )
    finish(session)
