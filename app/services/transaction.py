"""One use case, one commit, unless a larger one has already opened the transaction."""

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.domain.errors import NotFound
from app.storage.models.site import Site
from app.storage.models.tank import Tank
from app.storage.queries import entries

NO_PLACE = "There is no such household or school."
_JOINED = "joined"


def begin(session: Session, *tank_ids: int) -> None:
    """Begin a change of these tanks: count it, which is also the lock.

    Raises:
        NotFound: If there is no such tank.
    """
    entries.raise_revision(session, *tank_ids)
    found = session.scalar(select(func.count(Tank.id)).where(Tank.id.in_(tank_ids)))
    if found != len(set(tank_ids)):
        raise NotFound("There is no such tank.")


def begin_at_site(session: Session, site_id: int) -> None:
    """Begin a change at a household or school, which is one of all its tanks.

    Raises:
        NotFound: If there is no such place.
    """
    entries.raise_revision(
        session, *session.scalars(select(Tank.id).where(Tank.site_id == site_id))
    )
    if session.get(Site, site_id) is None:
        raise NotFound(NO_PLACE)


def site_of(session: Session, tank_id: int) -> int:
    """The id of the household or school in which a tank stands.

    Raises:
        NotFound: If there is no such tank.
    """
    found = session.scalar(select(Tank.site_id).where(Tank.id == tank_id))
    if found is None:
        raise NotFound("There is no such tank.")
    return found


def finish(session: Session) -> None:
    """End a use case: commit, or only flush inside a larger transaction."""
    if session.info.get(_JOINED):
        session.flush()
    else:
        session.commit()


@contextmanager
def one_transaction(session: Session) -> Iterator[Session]:
    """Let the use cases inside share one transaction: all of them count, or none.

    Inside a larger one the block joins it.
    """
    if session.info.get(_JOINED):
        yield session
        return
    session.info[_JOINED] = True
    try:
        yield session
    except BaseException:
        session.rollback()
        raise
    else:
        session.info[_JOINED] = False
        session.commit()
    finally:
        session.info.pop(_JOINED, None)
