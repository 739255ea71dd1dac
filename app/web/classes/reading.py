"""What the pages of a class have before them: the class that this visitor may see, its day."""

from dataclasses import dataclass
from datetime import date

from sqlalchemy.orm import Session

from app.services.school import classes
from app.services.school.classes import Group
from app.web.request import database, now, visitor


@dataclass(frozen=True, slots=True, kw_only=True)
class Here:
    """A class and its local day."""

    group: Group
    today: date


def here(class_id: int) -> Here:
    """The class of an address.

    Raises:
        NotFound: If there is none that this visitor may see.
    """
    with database().reading() as session:
        return in_session(session, class_id)


def in_session(session: Session, class_id: int) -> Here:
    """The same, in a session that is open already.

    Raises:
        NotFound: If there is none that this visitor may see.
    """
    group = classes.one(session, class_id, visitor())
    return Here(group=group, today=classes.today_at(session, class_id, now=now()))
