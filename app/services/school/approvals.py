"""What waits for an adult: helpers' photos and words, before anybody else reads them."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy.orm import Session

from app.domain.errors import Refused
from app.services import photos
from app.services.entries import entry_row
from app.services.photos import Photo
from app.services.transaction import begin, finish
from app.storage.models.notebook import NoteApproval
from app.storage.queries import notebook as rows
from app.storage.queries.notebook import NoteRow

ASKED_FOR = timedelta(days=60)
"""Older words are not asked about any more; they stay unseen."""
MOST_PHOTOS = 24


@dataclass(frozen=True, slots=True)
class Waiting:
    """What waits in one tank, oldest first."""

    photos: tuple[Photo, ...]
    notes: tuple[NoteRow, ...]


def waiting(session: Session, tank_id: int, *, now: datetime) -> Waiting:
    """The photos and words of a tank that no adult has looked at yet."""
    found = photos.photos(session, tank_id, keeper=True, waiting_only=True, limit=MOST_PHOTOS)
    notes = rows.waiting_notes(session, tank_id, now - ASKED_FOR)
    return Waiting(found[::-1], tuple(notes))


def count_waiting(session: Session, tank_ids: Sequence[int], *, now: datetime) -> dict[int, int]:
    """How many photos and notes wait, by tank; a tank in which none waits is left out."""
    return rows.count_waiting(session, tank_ids, now - ASKED_FOR)


def decide_note(
    session: Session, tank_id: int, entry_id: int, *, shown: bool, by_id: int, now: datetime
) -> None:
    """An adult lets everybody read the words of an entry, or keeps them back.

    Raises:
        NotFound: If the tank has no such entry.
        Refused: If the entry was corrected or taken back meanwhile.
    """
    begin(session, tank_id)
    if entry_row(session, tank_id, entry_id).status != "ok":
        raise Refused("This entry was fixed or taken back already. Look at the newest one.")
    row = session.get(NoteApproval, entry_id)
    if row is None:
        row = NoteApproval(entry_id=entry_id)
        session.add(row)
    row.shown, row.by_id, row.at = shown, by_id, now
    finish(session)


def is_kept_back(session: Session, entry_id: int) -> bool:
    """Whether the words of an entry are a helper's that no adult has shown yet."""
    return rows.is_kept_back(session, entry_id)
