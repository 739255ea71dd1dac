"""Files that were handed in and are looked at before anything is saved.

They lie in the record itself: the page after the upload may be answered by another process, on
another host, and no browser sends a file twice. Each person has one at a time, for a day at most.
"""

import re
from datetime import datetime, timedelta
from typing import Final

from sqlalchemy import delete, or_, select
from sqlalchemy.orm import Session

from app.domain.errors import Refused
from app.services.transaction import finish
from app.storage.models.exchange import IncomingFile

KEEPS: Final = timedelta(days=1)
_TOKEN = re.compile(r"[\w-]{8,64}", re.ASCII)


def hold(session: Session, token: str, content: bytes, *, author_id: int, now: datetime) -> None:
    """Keep a file for the next page; what this person had held before goes, and what is old.

    Raises:
        Refused: If the token is not one of a form's.
    """
    if not _TOKEN.fullmatch(token):
        raise Refused("Choose the file once more.")
    session.execute(
        delete(IncomingFile).where(
            or_(IncomingFile.author_id == author_id, IncomingFile.held_at < now - KEEPS)
        )
    )
    session.add(IncomingFile(token=token, author_id=author_id, held_at=now, content=content))
    finish(session)


def held(session: Session, token: str, *, author_id: int) -> bytes:
    """The file that this person handed in with this form.

    Raises:
        Refused: If it is not there any more.
    """
    content = session.scalar(
        select(IncomingFile.content).where(
            IncomingFile.token == token, IncomingFile.author_id == author_id
        )
    )
    if content is None:
        raise Refused("That file is not here any more. Choose it once more.")
    return content


def let_go(session: Session, author_id: int) -> None:
    """Forget what this person had held, inside a larger change."""
    session.execute(delete(IncomingFile).where(IncomingFile.author_id == author_id))
