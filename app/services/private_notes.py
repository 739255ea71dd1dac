"""An adult's notes for themselves: on a page of their own, and nowhere else."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from app.domain.errors import NotFound
from app.services.names import required
from app.services.transaction import begin, finish
from app.storage.engine import Database
from app.storage.models.notebook import PrivateNote as NoteRow
from app.storage.queries import notebook as rows

LONGEST = 2000


@dataclass(frozen=True, slots=True)
class PrivateNote:
    """One private note."""

    id: int
    text: str
    by: str
    written_at: datetime


def private_notes(session: Session, tank_id: int) -> tuple[PrivateNote, ...]:
    """All private notes of a tank, newest first."""
    return tuple(
        PrivateNote(row.id, row.text, name, row.written_at)
        for row, name in rows.private_notes(session, tank_id)
    )


def write(session: Session, tank_id: int, text: str, *, author_id: int, now: datetime) -> int:
    """Write a private note; the same words within a minute are one note. Returns its id.

    Raises:
        NotFound: If there is no such tank.
        Refused: If nothing was written, or too much.
    """
    words = required(text, "Write something down first.", LONGEST)
    begin(session, tank_id)
    for row, _ in rows.private_notes(session, tank_id)[:1]:
        if row.text == words and (now - row.written_at).total_seconds() < 60:
            session.rollback()
            return row.id
    row = NoteRow(tank_id=tank_id, author_id=author_id, written_at=now, text=words)
    session.add(row)
    session.flush()
    finish(session)
    return row.id


def erase(database: Database, tank_id: int, note_id: int) -> None:
    """Erase a private note for good.

    Raises:
        NotFound: If the tank has no such note.
    """
    with database.writing() as session:
        begin(session, tank_id)
        row = session.get(NoteRow, note_id)
        if row is None or row.tank_id != tank_id:
            raise NotFound("There is no such note.")
        session.delete(row)
        finish(session)
    database.sweep()
