"""A group of animals moves in: the group and its first count, together or not at all."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from app.services.entries import Stamp
from app.services.livestock import animals
from app.services.livestock.animals import ArrivalDraft
from app.services.transaction import one_transaction


@dataclass(frozen=True, slots=True, kw_only=True)
class GroupDraft:
    """Animals of one kind: how many are there now, where they live, how they came.

    What the fields mean: `animals.GroupFacts` and `animals.ArrivalDraft`.
    """

    name: str
    band: str = "middle"
    adult_cm: float | None = None
    species: str = ""
    count: int = 0
    label: str = ""
    source: str = ""
    apart_days: int | None = None
    length_cm: float | None = None


def settle(session: Session, stamp: Stamp, draft: GroupDraft, *, now: datetime) -> int:
    """Add a group with its first count; returns the group's id.

    Raises:
        Refused: If it has no name, or the tank has a group of that name.
        TokenReused: If the same form was saved before with other values.
    """
    with one_transaction(session):
        group_id = animals.add_group(
            session,
            stamp.tank_id,
            draft.name,
            draft.band,
            draft.adult_cm,
            species=draft.species,
        )
        if draft.count:
            arrival = ArrivalDraft(
                group_id=group_id,
                count=draft.count,
                label=draft.label,
                source=draft.source,
                apart_days=draft.apart_days,
                length_cm=draft.length_cm,
            )
            animals.arrive(session, stamp, arrival, now=now)
    return group_id
