"""Coming breaks, and whether somebody is named who looks after the tank in them."""

from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from app.domain.drafts import NewJob
from app.domain.errors import Refused
from app.domain.records import Job, JobKind
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Break
from app.estimates.closure_model import Trouble
from app.knowledge.load import load
from app.rules.breaks import cover_step, stretches_at
from app.rules.rehearsal import ready_step
from app.services import entries
from app.services.entries import Saved, Stamp


@dataclass(frozen=True, slots=True)
class ComingBreak:
    """A break that has not ended, and the entry that says its visits are arranged, or None."""

    away: Break
    arranged: Job | None


def coming(snapshot: TankSnapshot) -> tuple[ComingBreak, ...]:
    """The breaks that have not ended, the nearest first; of those that touch, the first."""
    ticked = {job.step: job for job in snapshot.jobs_of(JobKind.STEP)}
    found = []
    for stretch in stretches_at(snapshot.site, load()):
        ahead = [away for away in stretch.breaks if away.last_day >= snapshot.today]
        done = (ticked.get(cover_step(away)) for away in stretch.breaks)
        if ahead:
            found.append(ComingBreak(ahead[0], next((job for job in done if job), None)))
    return tuple(found)


def arrange(session: Session, stamp: Stamp, away: Break, who: str, *, now: datetime) -> Saved:
    """Write down who comes in a break, and on which days.

    Raises:
        Refused: If nobody is named.
    """
    if not who.strip():
        raise Refused("Write who comes, and on which days.")
    return _tick(session, stamp, cover_step(away), who, now=now)


def see_to(
    session: Session, stamp: Stamp, away: Break, trouble: Trouble, how: str, *, now: datetime
) -> Saved:
    """Write down how somebody saw to what a break's rehearsal says would fail.

    Raises:
        Refused: If nothing is said of it.
    """
    if not how.strip():
        raise Refused("Write what was arranged, such as who tops up and when.")
    return _tick(session, stamp, ready_step(away, trouble), how, now=now)


def _tick(session: Session, stamp: Stamp, step: str, note: str, *, now: datetime) -> Saved:
    draft = NewJob(job=JobKind.STEP, step=step, note=note.strip())
    return entries.record(session, stamp, draft, now=now)
