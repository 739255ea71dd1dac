"""Lines on Today that are for grown-ups in charge: what asks for their eyes, and is no task."""

from collections.abc import Iterator

from flask import url_for
from sqlalchemy.orm import Session

from app.domain.wording import count, dated
from app.services import notices as service
from app.web.request import now
from app.web.rights import may_open

Notice = tuple[str, str]


def notices(session: Session, tank_id: int) -> tuple[Notice, ...]:
    """Words and address of each line."""
    if not may_open("notebook.waiting"):
        return ()
    return tuple(_lines(service.of_tank(session, tank_id, now=now()), tank_id))


def _lines(found: service.Notices, tank_id: int) -> Iterator[Notice]:
    if found.waiting:
        said = count(
            found.waiting, "photo or note of a helper waits", "photos and notes of helpers wait"
        )
        yield f"{said} for your look", url_for("notebook.waiting", tank_id=tank_id)
    for each in found.reminders:
        yield (
            f"The nicknames of {each.name} were to be kept until {dated(each.kept_until)}",
            url_for("classes.one", class_id=each.class_id),
        )
