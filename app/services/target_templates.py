"""Target templates: ranges that several tanks share. A tank's own range counts before them."""

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from sqlalchemy import delete, func, select, update
from sqlalchemy.orm import Session

from app.domain.errors import NotFound, Refused
from app.domain.quantities import Quantity
from app.domain.tank import Range
from app.services.names import required
from app.services.transaction import begin, finish
from app.storage.base import folded
from app.storage.models.oversight import TargetTemplate, TemplateRange
from app.storage.models.tank import Tank, TankRange
from app.storage.queries import entries


@dataclass(frozen=True, slots=True, kw_only=True)
class Template:
    """A template with its ranges in kept units, and how many tanks are on it."""

    id: int
    name: str
    ranges: tuple[Range, ...] = ()
    tanks: int = 0

    def range_of(self, quantity: Quantity) -> Range | None:
        """Its range for a quantity, or None."""
        return next((r for r in self.ranges if r.quantity is quantity), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class TankOnIt:
    """A tank on a template, with its own ranges that count before those of the template."""

    tank_id: int
    name: str
    own: tuple[Range, ...]


def templates(session: Session) -> tuple[Template, ...]:
    """All templates by name, in two statements."""
    ranges: dict[int, list[Range]] = {}
    for row in session.scalars(select(TemplateRange).order_by(TemplateRange.quantity)):
        ranges.setdefault(row.template_id, []).append(
            Range(quantity=Quantity(row.quantity), low=row.low, high=row.high)
        )
    rows = session.execute(
        select(TargetTemplate, func.count(Tank.id))
        .outerjoin(Tank, (Tank.template_id == TargetTemplate.id) & Tank.closed_on.is_(None))
        .group_by(TargetTemplate.id)
        .order_by(TargetTemplate.name)
    )
    return tuple(
        Template(id=row.id, name=row.name, ranges=tuple(ranges.get(row.id, ())), tanks=many)
        for row, many in rows
    )


def template(session: Session, template_id: int) -> Template:
    """One template.

    Raises:
        NotFound: If there is no such template.
    """
    for known in templates(session):
        if known.id == template_id:
            return known
    raise NotFound("There is no such template.")


def tanks_on(
    session: Session, template_id: int, *, among: Collection[int] | None = None
) -> tuple[TankOnIt, ...]:
    """The tanks on a template that may be seen, by name; those that differ say in what."""
    shared = {r.quantity for r in template(session, template_id).ranges}
    rows = session.execute(
        select(Tank.id, Tank.name, TankRange)
        .outerjoin(TankRange, TankRange.tank_id == Tank.id)
        .where(Tank.template_id == template_id, Tank.closed_on.is_(None))
        .order_by(Tank.folded, TankRange.quantity)
    )
    found: dict[int, tuple[str, list[Range]]] = {}
    for tank_id, name, own in rows:
        own_ranges = found.setdefault(tank_id, (name, []))[1]
        if own is not None and Quantity(own.quantity) in shared:
            own_ranges.append(
                Range(
                    quantity=Quantity(own.quantity), low=own.low, high=own.high, set_by=own.set_by
                )
            )
    return tuple(
        TankOnIt(tank_id=tank_id, name=name, own=tuple(own))
        for tank_id, (name, own) in found.items()
        if among is None or tank_id in among
    )


def add(session: Session, name: str) -> int:
    """A new template without ranges; returns its id. Twice the same name is one template.

    Raises:
        Refused: If the name is empty.
    """
    name = required(name, "Enter a name for the template.")
    for known in session.scalars(select(TargetTemplate)):
        if folded(known.name) == folded(name):
            return known.id
    row = TargetTemplate(name=name)
    session.add(row)
    session.flush()
    finish(session)
    return row.id


def set_ranges(
    session: Session,
    template_id: int,
    ranges: Iterable[Range],
    *,
    among: Collection[int] | None = None,
) -> None:
    """Put these ranges in the place of those of a template; a range without ends is none.

    Raises:
        NotFound: If there is no such template.
        Refused: If a low end is not below its high one, or a tank on it may not be seen.
    """
    _begin(session, template_id, among)
    session.execute(delete(TemplateRange).where(TemplateRange.template_id == template_id))
    for each in ranges:
        if each.low is None and each.high is None:
            continue
        if each.low is not None and each.high is not None and each.high <= each.low:
            raise Refused("The low end must lie below the high end.")
        session.add(
            TemplateRange(
                template_id=template_id,
                quantity=each.quantity.value,
                low=each.low,
                high=each.high,
            )
        )
    finish(session)


def put_on(session: Session, template_id: int | None, tank_ids: Collection[int]) -> None:
    """Put tanks on a template, or with None on none; each has one at most.

    Raises:
        NotFound: If there is no such template or tank.
    """
    if template_id is not None:
        template(session, template_id)
    begin(session, *tank_ids)
    session.execute(update(Tank).where(Tank.id.in_(tank_ids)).values(template_id=template_id))
    finish(session)


def remove(session: Session, template_id: int) -> None:
    """Strike a template on which no tank is, closed ones included.

    Raises:
        NotFound: If there is no such template.
        Refused: If tanks are on it.
    """
    template(session, template_id)
    if session.scalar(select(func.count(Tank.id)).where(Tank.template_id == template_id)):
        raise Refused("Tanks are on it. Take them off first, closed ones too.")
    session.execute(delete(TemplateRange).where(TemplateRange.template_id == template_id))
    session.execute(delete(TargetTemplate).where(TargetTemplate.id == template_id))
    finish(session)


def _begin(session: Session, template_id: int, among: Collection[int] | None) -> None:
    """Begin a change of a template, which is one of all its tanks."""
    template(session, template_id)
    on_it = set(session.scalars(select(Tank.id).where(Tank.template_id == template_id)))
    if among is not None and not on_it <= set(among):
        raise Refused("Tanks that you do not look after are on this template too.")
    entries.raise_revision(session, *on_it)
