"""What every paper has before it: the tank as it is now, the head of each page, a chosen day."""

from dataclasses import dataclass
from datetime import date

from flask import request, url_for
from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.snapshot import TankSnapshot
from app.domain.wording import clock, dated
from app.services import tasks
from app.web.fields import FIRST_YEAR, LAST_YEAR
from app.web.papers.registry import Paper, paper_at
from app.web.request import now
from app.web.rights import may_open


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """The paper that is made, and what stands at the head of each of its pages."""

    tank_id: int
    tank: str
    place: str
    printed: str
    paper: Paper
    back_url: str


def sheet_of(snapshot: TankSnapshot, endpoint: str | None = None) -> Sheet:
    """The head for a paper of this tank; by default of the page that is open."""
    site = snapshot.site
    day = dated(local_day(now(), site.zone))
    return Sheet(
        tank_id=snapshot.tank.id,
        tank=snapshot.tank.name,
        place=site.name,
        printed=f"{day}, {clock(now(), site.zone)}",
        paper=paper_at(endpoint or request.endpoint or ""),
        back_url=url_for(_back_to(), tank_id=snapshot.tank.id),
    )


def _back_to() -> str:
    """Where papers are listed, for whoever may open that."""
    return "share.overview" if may_open("share.overview") else "trouble.start"


def seen(session: Session, tank_id: int) -> TankSnapshot:
    """The tank as it is now.

    Raises:
        NotFound: If there is no such tank.
    """
    return tasks.snapshot_of(session, tank_id, now=now())


def day_asked(name: str, default: date) -> date:
    """The day that the address gives for a name; the default where it gives none."""
    try:
        day = date.fromisoformat(request.args.get(name, ""))
    except ValueError:
        return default
    return day if FIRST_YEAR <= day.year <= LAST_YEAR else default
