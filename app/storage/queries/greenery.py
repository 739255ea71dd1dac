"""What was written of plants and algae, over the whole record."""

from collections.abc import Sequence
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.domain.records import EntryStatus, JobKind
from app.storage.models.entry import Entry
from app.storage.models.livestock import Observation, Plant
from app.storage.models.maintenance import Job

_LEFT = (JobKind.TRIM.value, JobKind.PLANT_REMOVED.value)


def weighed(session: Session, tank_id: int) -> Sequence[tuple[date, float]]:
    """Day and fresh grams of each trimming or removal that was weighed and counts."""
    query = (
        select(Entry.local_day, Job.grams)
        .join(Job, Job.entry_id == Entry.id)
        .where(
            Job.tank_id == tank_id,
            Job.job.in_(_LEFT),
            Job.grams.is_not(None),
            Entry.status == EntryStatus.OK.value,
        )
    )
    return [(day, grams) for day, grams in session.execute(query) if grams is not None]


def algae(session: Session, tank_id: int, most: int) -> Sequence[tuple[date, int, str]]:
    """Day, step and note of the last looks that say how much algae there is, newest first."""
    query = (
        select(Entry.local_day, Observation.algae, Observation.note)
        .join(Observation, Observation.entry_id == Entry.id)
        .where(
            Entry.tank_id == tank_id,
            Entry.kind == "observation",
            Observation.algae.is_not(None),
            Entry.status == EntryStatus.OK.value,
        )
        .order_by(Entry.happened_at.desc(), Entry.id.desc())
        .limit(most)
    )
    return [(day, step, note) for day, step, note in session.execute(query) if step is not None]


def planted_by(session: Session, entry_id: int) -> tuple[int, str] | None:
    """The id and name of the plant that an entry is about, or None."""
    query = select(Plant.id, Plant.name).join(Job, Job.plant_id == Plant.id)
    found = session.execute(query.where(Job.entry_id == entry_id)).first()
    return None if found is None else (found[0], found[1])
