"""The household or school: its zone and days, its breaks, its tap water."""

from dataclasses import asdict, dataclass, field
from datetime import date
from zoneinfo import ZoneInfo

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.errors import NotFound, Refused
from app.domain.quantities import CELSIUS, Quantity, Unit
from app.domain.tank import Site
from app.services.names import required
from app.services.transaction import begin_at_site, finish
from app.storage.models.entry import Entry
from app.storage.models.site import Break, TapReading
from app.storage.models.site import Site as SiteRow
from app.storage.models.tank import Tank as TankRow
from app.storage.queries import tanks
from app.storage.queries.tanks import digits

# the shore of the Dead Sea and the highest towns; both from memory, only against typing errors
_LOWEST_M, _HIGHEST_M = -450.0, 5500.0


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


def site(session: Session) -> Site:
    """The household or school.

    Raises:
        NotFound: If the record is empty.
    """
    found = tanks.sites(session)
    if not found:
        raise NotFound("There is no household or school yet.")
    return found[min(found)]


def without_days(session: Session) -> Site:
    """The household or school without its breaks and its tap water, in one statement.

    Raises:
        NotFound: If the record is empty.
    """
    found = tanks.first_site(session)
    if found is None:
        raise NotFound("There is no household or school yet.")
    return found


def warmth_unit(session: Session) -> Unit:
    """The unit in which thermometers are read; °C in an empty record."""
    found = tanks.first_site(session)
    return found.unit_of(Quantity.TEMPERATURE) if found else CELSIUS


def breaks(session: Session) -> tuple[tuple[int, date, date, str], ...]:
    """All breaks as (id, first day, last day, name), in order."""
    rows = session.scalars(select(Break).order_by(Break.first_day, Break.id))
    return tuple((b.id, b.first_day, b.last_day, b.name) for b in rows)


def set_site(session: Session, draft: SiteDraft) -> None:
    """Change the site, or make it; a new zone moves every entry to its local day at once.

    Raises:
        Refused: If the name is empty, there is no such time zone or place so low or high.
    """
    name = required(draft.name, "Enter a name for the household or the school.")
    try:
        ZoneInfo(draft.zone)
    except (KeyError, ValueError, OSError):
        raise Refused(f"There is no time zone called {draft.zone}.") from None
    if draft.elevation_m is not None and not _LOWEST_M <= draft.elevation_m <= _HIGHEST_M:
        raise Refused("Enter how high the place lies above the sea, in meters.")
    values = {**asdict(draft), "name": name, "present_weekdays": digits(draft.present_weekdays)}
    row = session.scalar(select(SiteRow).order_by(SiteRow.id).limit(1))
    if row is None:
        session.add(SiteRow(**values))
    else:
        begin_at_site(session)
        zone_moved = row.zone != draft.zone
        for column, value in values.items():
            setattr(row, column, value)
        if zone_moved:
            _move_days(session, row.id, draft.zone)
    finish(session)


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


def add_break(session: Session, first: date, last: date, name: str) -> None:
    """Days on which nobody is meant to come, both included.

    Raises:
        Refused: If the last day is before the first.
    """
    if last < first:
        raise Refused("The last day lies before the first.")
    site_id = begin_at_site(session)
    session.add(Break(site_id=site_id, first_day=first, last_day=last, name=name.strip()))
    finish(session)


def remove_break(session: Session, break_id: int) -> None:
    """Strike a break."""
    begin_at_site(session)
    session.execute(delete(Break).where(Break.id == break_id))
    finish(session)


def set_tap(
    session: Session,
    quantity: Quantity,
    value: float | None,
    tested_on: date | None,
) -> None:
    """What the tap water itself holds, in the kept unit; None forgets it."""
    site_id = begin_at_site(session)
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
