"""Kits with their comparisons, equipment and supplies."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from sqlalchemy import bindparam, select
from sqlalchemy.orm import Session

from app.domain.kit import Equipment, Kit, KitComparison, Supply
from app.storage import records
from app.storage.models.kit import Equipment as EquipmentRow
from app.storage.models.kit import Kit as KitRow
from app.storage.models.kit import KitComparison as ComparisonRow
from app.storage.models.kit import Supply as SupplyRow

_KITS = (
    select(KitRow, ComparisonRow)
    .outerjoin(ComparisonRow, ComparisonRow.kit_id == KitRow.id)
    .order_by(ComparisonRow.at, ComparisonRow.id)
)
_EQUIPMENT = (
    select(EquipmentRow)
    .where(EquipmentRow.tank_id.in_(bindparam("tanks", expanding=True)))
    .order_by(EquipmentRow.id)
)


@dataclass(frozen=True, slots=True)
class Shelf:
    """A site's kits, the newest last, and what they were held against, oldest first."""

    kits: dict[int, Kit] = field(default_factory=dict)
    comparisons: list[KitComparison] = field(default_factory=list)


def shelves(session: Session) -> dict[int, Shelf]:
    """All kits with their comparisons by site, in one statement."""
    found: dict[int, Shelf] = defaultdict(Shelf)
    for kit, comparison in session.execute(_KITS):
        shelf = found[kit.site_id]
        if kit.id not in shelf.kits:
            shelf.kits[kit.id] = records.kit(kit)
        if comparison is not None:
            shelf.comparisons.append(records.same_names(KitComparison, comparison))
    return found


def kits(session: Session) -> dict[int, list[Kit]]:
    """All kits by site, the newest last."""
    return {site_id: newest_last(shelf) for site_id, shelf in shelves(session).items()}


def all_kits(session: Session) -> list[Kit]:
    """All kits of all sites, for readings that name one."""
    return [kit for shelf in shelves(session).values() for kit in shelf.kits.values()]


def newest_last(shelf: Shelf) -> list[Kit]:
    """The kits of a shelf in the order in which they were opened; first those of unknown day."""
    return sorted(shelf.kits.values(), key=lambda kit: (kit.opened_on or date.min, kit.id))


def equipment(session: Session, tank_ids: Sequence[int]) -> dict[int, list[Equipment]]:
    """All equipment by tank, also what was put away."""
    found: dict[int, list[Equipment]] = defaultdict(list)
    for row in session.scalars(_EQUIPMENT, {"tanks": tank_ids}):
        found[row.tank_id].append(records.same_names(Equipment, row))
    return found


def supplies(session: Session, site_id: int) -> tuple[Supply, ...]:
    """All supplies of a site, by kind and name."""
    query = (
        select(SupplyRow)
        .where(SupplyRow.site_id == site_id)
        .order_by(SupplyRow.kind, SupplyRow.name, SupplyRow.id)
    )
    return tuple(
        records.same_names(Supply, row, left=row.amount_left) for row in session.scalars(query)
    )
