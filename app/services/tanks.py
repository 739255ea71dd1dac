"""Setting up: the site, its tanks, animals, kits, ranges and plans."""

from dataclasses import asdict, dataclass, field
from datetime import date, datetime
from zoneinfo import ZoneInfo

from sqlalchemy import delete, select, update
from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.errors import NotFound, Refused
from app.domain.quantities import Quantity
from app.domain.records import CarePlan, Kit, Site, StockGroup, Tank, TankShape
from app.services.transaction import finish
from app.storage import snapshot
from app.storage.base import folded
from app.storage.models.entry import Entry
from app.storage.models.feeding import Scoop
from app.storage.models.livestock import StockGroup as GroupRow
from app.storage.models.site import Break, TapReading
from app.storage.models.site import Kit as KitRow
from app.storage.models.site import Site as SiteRow
from app.storage.models.tank import CarePlan as PlanRow
from app.storage.models.tank import Tank as TankRow
from app.storage.models.tank import TankRange
from app.storage.queries import entries, tanks


@dataclass(frozen=True, slots=True)
class TankLine:
    """A tank in a list."""

    id: int
    name: str
    where: str
    setting: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TankDraft:
    """What somebody typed about a tank."""

    name: str
    shape: TankShape
    setting: str = "home"
    started_on: date | None = None
    mature_on: date | None = None
    light_on: str = ""
    light_hours: float | None = None
    has_heater: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteDraft:
    """What somebody typed about the household or school."""

    name: str
    zone: str
    present_weekdays: frozenset[int] = field(default_factory=lambda: frozenset(range(7)))
    fahrenheit: bool = False
    us_gallons: bool = False
    chloramine: str = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class KitDraft:
    """What somebody typed about a kit; steps ascend, () for a meter or drops."""

    quantity: Quantity
    name: str
    unit: str
    basis: str = ""
    steps: tuple[float, ...] = ()
    opened_on: date | None = None
    expires_on: date | None = None


def _site_row(session: Session) -> SiteRow:
    row = session.scalar(select(SiteRow).order_by(SiteRow.id).limit(1))
    if row is None:
        raise NotFound("There is no household or school yet.")
    return row


def _touch_site(session: Session, site_id: int) -> None:
    """A change at the site is a change of all its tanks."""
    wanted = session.scalars(select(TankRow.id).where(TankRow.site_id == site_id))
    entries.raise_revision(session, *wanted)


def _digits(weekdays: frozenset[int]) -> str:
    return "".join(str(d) for d in sorted(weekdays))


def site(session: Session) -> Site:
    """The household or school.

    Raises:
        NotFound: If the record is empty.
    """
    return tanks.sites(session)[_site_row(session).id]


def breaks(session: Session) -> tuple[tuple[int, date, date, str], ...]:
    """All breaks as (id, first day, last day, name), in order."""
    rows = session.scalars(select(Break).order_by(Break.first_day, Break.id))
    return tuple((b.id, b.first_day, b.last_day, b.name) for b in rows)


def set_site(session: Session, draft: SiteDraft) -> None:
    """Change the site, or make it; a new zone moves every entry to its local day at once.

    Raises:
        Refused: If the name is empty or there is no such time zone.
    """
    if not draft.name.strip():
        raise Refused("Enter a name for the household or the school.")
    try:
        ZoneInfo(draft.zone)
    except (KeyError, ValueError, OSError):
        raise Refused(f"There is no time zone called {draft.zone}.") from None
    values = {**asdict(draft), "present_weekdays": _digits(draft.present_weekdays)}
    row = session.scalar(select(SiteRow).order_by(SiteRow.id).limit(1))
    if row is None:
        session.add(SiteRow(**values))
    else:
        _touch_site(session, row.id)
        zone_moved = row.zone != draft.zone
        for name, value in values.items():
            setattr(row, name, value)
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
    row = _site_row(session)
    _touch_site(session, row.id)
    session.add(Break(site_id=row.id, first_day=first, last_day=last, name=name.strip()))
    finish(session)


def remove_break(session: Session, break_id: int) -> None:
    """Strike a break."""
    _touch_site(session, _site_row(session).id)
    session.execute(delete(Break).where(Break.id == break_id))
    finish(session)


def set_tap(
    session: Session,
    quantity: Quantity,
    value: float | None,
    tested_on: date | None,
) -> None:
    """What the tap water itself holds, in the kept unit; None forgets it."""
    row = _site_row(session)
    _touch_site(session, row.id)
    session.execute(
        delete(TapReading).where(
            TapReading.site_id == row.id, TapReading.quantity == quantity.value
        )
    )
    if value is not None:
        session.add(
            TapReading(site_id=row.id, quantity=quantity.value, value=value, tested_on=tested_on)
        )
    finish(session)


def tank_lines(session: Session) -> tuple[TankLine, ...]:
    """All tanks that are not closed, by name."""
    rows = session.execute(
        select(TankRow, SiteRow.name)
        .join(SiteRow, SiteRow.id == TankRow.site_id)
        .where(TankRow.closed_on.is_(None))
        .order_by(TankRow.folded)
    )
    return tuple(TankLine(t.id, t.name, where, t.setting) for t, where in rows)


def tank(session: Session, tank_id: int) -> Tank:
    """One tank.

    Raises:
        NotFound: If there is no such tank.
    """
    found = tanks.load(session, [tank_id])
    if not found:
        raise NotFound("There is no such tank.")
    return found[0].tank


def revision(session: Session, tank_id: int) -> int:
    """How often the tank's record changed; the key of every cache.

    Raises:
        NotFound: If there is no such tank.
    """
    found = session.scalar(select(TankRow.revision).where(TankRow.id == tank_id))
    if found is None:
        raise NotFound("There is no such tank.")
    return found


def _tank_values(session: Session, draft: TankDraft, tank_id: int | None) -> dict[str, object]:
    name = draft.name.strip()
    if not name:
        raise Refused("Enter a name for the tank.")
    other = session.scalar(select(TankRow.id).where(TankRow.folded == folded(name)))
    if other is not None and other != tank_id:
        raise Refused(f"There is a tank called {name} already.")
    values = asdict(draft)
    shape = values.pop("shape")
    return {**values, **shape, "name": name, "folded": folded(name)}


def add_tank(session: Session, draft: TankDraft) -> int:
    """A new tank; returns its id.

    Raises:
        Refused: If the name is empty or taken.
    """
    row = TankRow(site_id=_site_row(session).id, **_tank_values(session, draft, None))
    session.add(row)
    session.flush()
    finish(session)
    return row.id


def change_tank(session: Session, tank_id: int, draft: TankDraft) -> None:
    """Change what is known about a tank.

    Raises:
        NotFound: If there is no such tank.
        Refused: If the name is empty or taken.
    """
    entries.raise_revision(session, tank_id)
    tank(session, tank_id)
    values = _tank_values(session, draft, tank_id)
    session.execute(update(TankRow).where(TankRow.id == tank_id).values(**values))
    finish(session)


def set_plan(session: Session, tank_id: int, plan: CarePlan) -> None:
    """Set the care plan of a tank.

    Raises:
        NotFound: If there is no such tank.
    """
    entries.raise_revision(session, tank_id)
    tank(session, tank_id)
    session.execute(delete(PlanRow).where(PlanRow.tank_id == tank_id))
    values = {**asdict(plan), "feed_weekdays": _digits(plan.feed_weekdays)}
    session.add(PlanRow(tank_id=tank_id, **values))
    finish(session)


def set_range(
    session: Session,
    tank_id: int,
    quantity: Quantity,
    low: float | None,
    high: float | None,
    *,
    set_by: str,
) -> None:
    """Set a tank's own range in the kept unit; both None go back to the general one.

    Raises:
        NotFound: If there is no such tank.
        Refused: If the low end is not below the high one.
    """
    if low is not None and high is not None and high <= low:
        raise Refused("The low end must lie below the high end.")
    entries.raise_revision(session, tank_id)
    tank(session, tank_id)
    session.execute(
        delete(TankRange).where(TankRange.tank_id == tank_id, TankRange.quantity == quantity.value)
    )
    if low is not None or high is not None:
        session.add(
            TankRange(tank_id=tank_id, quantity=quantity.value, low=low, high=high, set_by=set_by)
        )
    finish(session)


def kits(session: Session) -> tuple[Kit, ...]:
    """The site's kits that are in use, the newest last."""
    found = tanks.kits(session).get(_site_row(session).id, [])
    return tuple(k for k in found if k.retired_on is None)


def add_kit(session: Session, draft: KitDraft) -> int:
    """A new kit; returns its id.

    Raises:
        Refused: If the steps do not ascend.
    """
    if list(draft.steps) != sorted(set(draft.steps)):
        raise Refused("Write the colors of the card from the lowest to the highest.")
    row = _site_row(session)
    _touch_site(session, row.id)
    values = {
        **asdict(draft),
        "quantity": draft.quantity.value,
        "steps": " ".join(f"{s:g}" for s in draft.steps),
    }
    fresh = KitRow(site_id=row.id, **values)
    session.add(fresh)
    session.flush()
    finish(session)
    return fresh.id


def retire_kit(session: Session, kit_id: int, on: date) -> None:
    """Put a kit away; its readings stay."""
    _touch_site(session, _site_row(session).id)
    session.execute(update(KitRow).where(KitRow.id == kit_id).values(retired_on=on))
    finish(session)


def groups(session: Session, tank_id: int, *, now: datetime) -> tuple[StockGroup, ...]:
    """The groups of animals in a tank with their counts."""
    found = snapshot.load(session, [tank_id], now)
    return found[0].groups if found else ()


def add_group(
    session: Session, tank_id: int, name: str, band: str = "middle", adult_cm: float | None = None
) -> int:
    """A new group of animals, still without any; returns its id.

    Raises:
        Refused: If it has no name, or the tank has a group of that name.
    """
    if not name.strip():
        raise Refused("Enter the name of the animals.")
    entries.raise_revision(session, tank_id)
    twin = select(GroupRow.id).where(GroupRow.tank_id == tank_id, GroupRow.folded == folded(name))
    if session.scalar(twin) is not None:
        raise Refused(f"There is a group called {name.strip()} already.")
    row = GroupRow(
        tank_id=tank_id, name=name.strip(), folded=folded(name), band=band, adult_cm=adult_cm
    )
    session.add(row)
    session.flush()
    finish(session)
    return row.id


def weigh_scoop(
    session: Session, tank_id: int, total_grams: float, scoops: int, *, now: datetime
) -> float:
    """Keep what one flat scoop weighs, from a pile of them; returns grams of one.

    Raises:
        Refused: If nothing was weighed.
    """
    if not (total_grams > 0 and scoops > 0):
        raise Refused("Weigh some scoops together: 20 are a good number.")
    entries.raise_revision(session, tank_id)
    grams = total_grams / scoops
    session.add(Scoop(tank_id=tank_id, grams=grams, weighed_at=now))
    finish(session)
    return grams
