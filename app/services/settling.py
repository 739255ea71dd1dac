"""A group of animals moves in: the group and its first count, together or not at all."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from app.domain.drafts import NewStockEvent
from app.domain.records import StockEventKind
from app.services import entries, tanks
from app.services.entries import Stamp
from app.services.transaction import one_transaction


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupDraft:
    """Animals of one kind: how many are there now, where they live, how long they grow."""

    name: str
    band: str = "middle"
    adult_cm: float | None = None
    count: int = 0


def settle(session: Session, stamp: Stamp, draft: GroupDraft, *, now: datetime) -> int:
    """Add a group with its first count; returns the group's id.

    Raises:
        Refused: If it has no name, or the tank has a group of that name.
        TokenReused: If the same form was saved before with other values.
    """
    with one_transaction(session):
        group_id = tanks.add_group(session, stamp.tank_id, draft.name, draft.band, draft.adult_cm)
        if draft.count:
            event = NewStockEvent(what=StockEventKind.ARRIVED, group_id=group_id, count=draft.count)
            entries.record(session, stamp, event, now=now)
    return group_id
