"""One use case, one commit, unless a larger one has already opened the transaction."""

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.orm import Session

_JOINED = "joined"


def finish(session: Session) -> None:
    """End a use case: commit, or only flush inside a larger transaction."""
    if session.info.get(_JOINED):
        session.flush()
    else:
        session.commit()


@contextmanager
def one_transaction(session: Session) -> Iterator[Session]:
    """Let the use cases inside share one transaction: all of them count, or none."""
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
