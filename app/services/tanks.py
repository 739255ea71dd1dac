"""Tanks: what is known of them, their ranges and scoops, and their end."""

import functools
import re
from collections.abc import Collection, Iterable
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime
from typing import Any

from sqlalchemy import Integer, bindparam, case, delete, func, select, update
from sqlalchemy.orm import Session

from app.domain.errors import NotFound, Refused
from app.domain.livestock import StockGroup
from app.domain.quantities import Quantity
from app.domain.tank import Tank, TankFacts
from app.services import care_plans
from app.services.names import optional, required
from app.services.school import classes
from app.services.sites import FIRST
from app.services.transaction import NO_PLACE, begin, finish, one_transaction, site_of
from app.storage import snapshot
from app.storage.base import folded
from app.storage.models.feeding import Scoop
from app.storage.models.site import Site as SiteRow
from app.storage.models.tank import Tank as TankRow
from app.storage.models.tank import TankRange
from app.storage.models.water import Reading
from app.storage.queries import tanks

COVERS = ("", "closed", "gap", "open")
_PHONE = 40
_ROOM = 40
_LAST_VALUES = (
    select(func.coalesce(Reading.value, Reading.low, 0.0))
    .where(
        Reading.tank_id == bindparam("tank"),
        Reading.quantity == bindparam("quantity"),
        Reading.in_force.is_(True),
        Reading.at <= bindparam("until"),
    )
    .order_by(Reading.at.desc(), Reading.id.desc())
    .limit(bindparam("count", type_=Integer()))
)
_CLOCK = re.compile(r"(?:[01]\d|2[0-3]):[0-5]\d")


@dataclass(frozen=True, slots=True)
class TankLine:
    """A tank in a list; `where` is its household or school, with that one's zone."""

    id: int
    name: str
    where: str
    setting: str
    site_id: int
    zone: str


def tank_lines(session: Session, among: Collection[int] | None = None) -> tuple[TankLine, ...]:
    """All tanks that are not closed, by name; `among` these numbers, where some are given."""
    return _lines(session, among, closed=False)


def menu_line(
    session: Session, among: Collection[int] | None, *, here: int | None, before: int | None
) -> TankLine | None:
    """The tank that the menu leads to: of this page, else the one `before`, else the first."""
    given = {"tanks": among, "here": here, "before": before}
    row = session.execute(_menu_query(limited=among is not None), given).first()
    return None if row is None else TankLine(*row)


def closed_lines(session: Session, among: Collection[int] | None = None) -> tuple[TankLine, ...]:
    """All tanks that were closed, by name; `among` these numbers, where some are given."""
    return _lines(session, among, closed=True)


def _lines(
    session: Session, among: Collection[int] | None, *, closed: bool
) -> tuple[TankLine, ...]:
    query = _lines_query(closed=closed, limited=among is not None)
    return tuple(TankLine(*row) for row in session.execute(query, {"tanks": among}))


@functools.cache
def _menu_query(*, limited: bool) -> Any:
    wanted = (TankRow.id == bindparam(name, type_=Integer()) for name in ("here", "before"))
    first = (case((is_it, 0), else_=1) for is_it in wanted)
    lines = _lines_query(closed=False, limited=limited)
    return lines.order_by(None).order_by(*first, TankRow.folded).limit(1)


@functools.cache
def _lines_query(*, closed: bool, limited: bool) -> Any:
    query = (
        select(
            TankRow.id, TankRow.name, SiteRow.name, TankRow.setting, TankRow.site_id, SiteRow.zone
        )
        .join(SiteRow, SiteRow.id == TankRow.site_id)
        .where(TankRow.closed_on.is_not(None) if closed else TankRow.closed_on.is_(None))
        .order_by(TankRow.folded)
    )
    return query.where(TankRow.id.in_(bindparam("tanks", expanding=True))) if limited else query


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


def last_values(
    session: Session, tank_id: int, quantity: Quantity, count: int, until: datetime
) -> tuple[float, ...]:
    """The last values of a quantity that counts one reader a reading, oldest first.

    A value that was only read to lie in a range counts as its lower end.
    """
    given = {"tank": tank_id, "quantity": quantity.value, "until": until, "count": count}
    return tuple(reversed(session.scalars(_LAST_VALUES, given).all()))


def _columns(session: Session, facts: TankFacts, tank_id: int | None = None) -> dict[str, object]:
    name = required(facts.name, "Enter a name for the tank.")
    other = session.scalar(select(TankRow.id).where(TankRow.folded == folded(name)))
    if other is not None and other != tank_id:
        raise Refused(f"There is a tank called {name} already.")
    _check(facts)
    values = asdict(facts)
    shape = values.pop("shape") | {"form": facts.shape.form.value}
    people = {
        "adult": optional(facts.adult),
        "adult_phone": optional(facts.adult_phone, _PHONE),
        "deputy": optional(facts.deputy),
        "deputy_phone": optional(facts.deputy_phone, _PHONE),
        "room": optional(facts.room, _ROOM),
        "round": optional(facts.round, _ROOM),
    }
    return {**values, **shape, **people, "name": name, "folded": folded(name)}


def _check(facts: TankFacts) -> None:
    if facts.cover not in COVERS:
        raise Refused("Choose how the tank is covered.")
    if bool(facts.sun_from) != bool(facts.sun_until):
        raise Refused("Enter both: when the sun comes to the tank, and when it leaves.")
    for clock in (facts.light_on, facts.sun_from, facts.sun_until):
        if clock and not _CLOCK.fullmatch(clock):
            raise Refused(f"{clock} is no time of day. Write it as 07:30.")
    protein = facts.food_protein_percent
    if protein is not None and not 0 <= protein <= 100:
        raise Refused("The protein of the food is a percentage from 0 to 100.")


def add_tank(session: Session, facts: TankFacts, *, site_id: int = FIRST) -> int:
    """A new tank, in the place that the record began with unless another is named; its id.

    Raises:
        NotFound: If there is no such place.
        Refused: If the name is empty or taken, or something else cannot be.
    """
    if session.get(SiteRow, site_id) is None:
        raise NotFound(NO_PLACE)
    row = TankRow(site_id=site_id, **_columns(session, facts))
    session.add(row)
    session.flush()
    classes.join_new_tank(session, row.id, site_id)
    finish(session)
    return row.id


def change_tank(session: Session, tank_id: int, facts: TankFacts) -> None:
    """Put these facts in the place of those known; `replace(tank.facts, ...)` keeps the others.

    Raises:
        NotFound: If there is no such tank.
        Refused: If the name is empty or taken, or something else cannot be.
    """
    begin(session, tank_id)
    values = _columns(session, facts, tank_id)
    session.execute(update(TankRow).where(TankRow.id == tank_id).values(**values))
    finish(session)


def copy_setup(session: Session, from_id: int, name: str) -> int:
    """A new tank set up like an earlier one; returns its id.

    Its measures, light, cover, plan and ranges are copied; not its animals, plants and
    equipment, nor its days and who is in charge.

    Raises:
        NotFound: If there is no such tank.
        Refused: If the name is empty or taken.
    """
    old = tank(session, from_id)
    facts = replace(
        old.facts, name=name, started_on=None, mature_on=None,
        adult="", adult_phone="", deputy="", deputy_phone="", room="", round="",
    )  # fmt: skip
    with one_transaction(session):
        fresh = add_tank(session, facts, site_id=site_of(session, from_id))
        care_plans.set_plan(session, fresh, old.plan)
        care_plans.set_jobs(session, fresh, old.plan.jobs)
        if old.template_id is not None:
            session.get_one(TankRow, fresh).template_id = old.template_id
        for own in old.overrides:
            set_range(session, fresh, own.quantity, own.low, own.high, set_by=own.set_by)
    return fresh


def living(groups: Iterable[StockGroup]) -> str:
    """The animals that are written in a tank: "10 neon tetra, 6 peppered cory", or ""."""
    return ", ".join(f"{g.count} {g.name}" for g in groups if g.count)


def close(
    session: Session, tank_id: int, on: date, *, now: datetime, though_animals: bool = False
) -> None:
    """Close a tank: it stays to be read, and nothing is written of later days.

    Args:
        session: A session that writes.
        tank_id: Which tank.
        on: Its last day, by the tank's own calendar.
        now: The present moment.
        though_animals: Close it although animals are written in it.

    Raises:
        NotFound: If there is no such tank.
        Refused: If the day has not come, or animals are written in it, with which.
    """
    begin(session, tank_id)
    seen = snapshot.load(session, [tank_id], now)[0]
    if on > seen.today:
        raise Refused("That day has not come yet. Pick a day up to today.")
    here = living(seen.groups)
    if here and not though_animals:
        raise Refused(f"These still live here: {here}. Write down first where they went.")
    session.execute(update(TankRow).where(TankRow.id == tank_id).values(closed_on=on))
    finish(session)


def reopen(session: Session, tank_id: int) -> None:
    """Open a closed tank again.

    Raises:
        NotFound: If there is no such tank.
    """
    begin(session, tank_id)
    session.execute(update(TankRow).where(TankRow.id == tank_id).values(closed_on=None))
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
    begin(session, tank_id)
    session.execute(
        delete(TankRange).where(TankRange.tank_id == tank_id, TankRange.quantity == quantity.value)
    )
    if low is not None or high is not None:
        session.add(
            TankRange(tank_id=tank_id, quantity=quantity.value, low=low, high=high, set_by=set_by)
        )
    finish(session)


def weigh_scoop(
    session: Session, tank_id: int, total_grams: float, scoops: int, *, now: datetime
) -> float:
    """Keep what one flat scoop weighs, from a pile of them; returns grams of one.

    Raises:
        Refused: If nothing was weighed.
    """
    if not (total_grams > 0 and scoops > 0):
        raise Refused("Weigh some scoops together: 20 are a good number.")
    begin(session, tank_id)
    grams = total_grams / scoops
    session.add(Scoop(tank_id=tank_id, grams=grams, weighed_at=now))
    finish(session)
    return grams
