"""Test kits and meters, and what came of holding them against something known."""

from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import delete, update
from sqlalchemy.orm import Session

from app.domain.errors import NotFound, Refused
from app.domain.kit import Kit, KitComparison
from app.domain.quantities import FACTS, Quantity
from app.services.names import optional, required
from app.services.transaction import begin_at_site, finish, site_of
from app.storage.models.kit import Kit as KitRow
from app.storage.models.kit import KitComparison as ComparisonRow
from app.storage.queries import kits as queries

_LOT = 40


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
    lot: str = ""
    next_check_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparisonDraft:
    """A kit held against something known, in the kept unit of its quantity.

    A `next_check_on` is written on the kit as well.
    """

    known: float
    read: float
    against: str = ""
    next_check_on: date | None = None


def kits(session: Session) -> tuple[Kit, ...]:
    """The site's kits that are in use, the newest last."""
    found = queries.kits(session).get(site_of(session), [])
    return tuple(k for k in found if k.retired_on is None)


def add_kit(session: Session, draft: KitDraft) -> int:
    """A new kit; returns its id.

    Raises:
        Refused: If it has no name, or the steps do not ascend.
    """
    values = _columns(draft)
    fresh = KitRow(site_id=begin_at_site(session), **values)
    session.add(fresh)
    session.flush()
    finish(session)
    return fresh.id


def change_kit(session: Session, kit_id: int, draft: KitDraft) -> None:
    """Change what is known about a kit; what was read with it stays as it was read.

    Raises:
        NotFound: If there is no such kit.
        Refused: If it has no name, the steps do not ascend, or it would measure something else.
    """
    values = _columns(draft)
    begin_at_site(session)
    if _row(session, kit_id).quantity != draft.quantity.value:
        raise Refused("A kit measures one thing. Add another kit instead.")
    session.execute(update(KitRow).where(KitRow.id == kit_id).values(**values))
    finish(session)


def retire_kit(session: Session, kit_id: int, on: date) -> None:
    """Put a kit away; its readings stay.

    Raises:
        NotFound: If there is no such kit.
    """
    begin_at_site(session)
    _row(session, kit_id).retired_on = on
    finish(session)


def compare_kit(session: Session, kit_id: int, draft: ComparisonDraft, *, now: datetime) -> int:
    """Keep what a kit showed of something known; returns the comparison's id.

    Raises:
        NotFound: If there is no such kit.
        Refused: If a value cannot be one of its quantity.
    """
    begin_at_site(session)
    kit = _row(session, kit_id)
    low, high = FACTS[Quantity(kit.quantity)].impossible
    if not (low <= draft.known <= high and low <= draft.read <= high):
        raise Refused(f"Both values lie between {low:g} and {high:g}. Look at them again.")
    row = ComparisonRow(
        kit_id=kit_id, at=now, known=draft.known, read=draft.read, against=optional(draft.against)
    )
    session.add(row)
    if draft.next_check_on is not None:
        kit.next_check_on = draft.next_check_on
    session.flush()
    finish(session)
    return row.id


def comparisons(session: Session, kit_id: int | None = None) -> tuple[KitComparison, ...]:
    """The comparisons of one kit, or of all, the newest first."""
    found = queries.shelves(session)[site_of(session)].comparisons
    return tuple(c for c in reversed(found) if kit_id in (None, c.kit_id))


def remove_comparison(session: Session, comparison_id: int) -> None:
    """Strike a comparison that was written by mistake."""
    begin_at_site(session)
    session.execute(delete(ComparisonRow).where(ComparisonRow.id == comparison_id))
    finish(session)


def _row(session: Session, kit_id: int) -> KitRow:
    row = session.get(KitRow, kit_id)
    if row is None:
        raise NotFound("There is no such kit.")
    return row


def _columns(draft: KitDraft) -> dict[str, Any]:
    if list(draft.steps) != sorted(set(draft.steps)):
        raise Refused("Write the colors of the card from the lowest to the highest.")
    return {
        **asdict(draft),
        "name": required(draft.name, "Enter the name that stands on the kit."),
        "lot": optional(draft.lot, _LOT),
        "quantity": draft.quantity.value,
        "steps": " ".join(f"{s:g}" for s in draft.steps),
    }
