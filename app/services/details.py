"""A draft becoming the columns of its kind's table, checked against the tank it is for."""

from collections.abc import Mapping
from dataclasses import asdict, replace
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.domain.drafts import (
    Draft,
    NewJob,
    NewLoggerImport,
    NewLook,
    NewMeal,
    NewNote,
    NewStockEvent,
    NewTest,
)
from app.domain.errors import NotFound, Refused
from app.domain.records import EntryKind, StockEventKind, Treatment
from app.storage.models.feeding import Scoop
from app.storage.models.livestock import Observation, Plant, StockBatch, StockEvent, StockGroup
from app.storage.models.maintenance import Job
from app.storage.queries import livestock
from app.storage.records import same_names

KINDS: Mapping[type[Any], EntryKind] = {
    NewMeal: EntryKind.FEEDING,
    NewTest: EntryKind.WATER_TEST,
    NewJob: EntryKind.JOB,
    NewStockEvent: EntryKind.STOCK_EVENT,
    NewLook: EntryKind.OBSERVATION,
    NewNote: EntryKind.OBSERVATION,
    NewLoggerImport: EntryKind.LOGGER,
}
_LOSSES = frozenset({StockEventKind.DIED, StockEventKind.MISSING})
_MOVES = frozenset({StockEventKind.MOVED_IN.value, StockEventKind.MOVED_OUT.value})


def columns_of(session: Session, tank_id: int, draft: Draft) -> dict[str, Any]:
    """The columns of the draft's own table, for an entry of this tank.

    Raises:
        NotFound: If the tank has no such group or plant.
        Refused: If batch, hidden loss or length do not go with what happened.
    """
    match draft:
        case NewMeal():
            return _meal_detail(session, tank_id, draft)
        case NewLook():
            expected = livestock.expected(session, tank_id)
            return {
                **asdict(draft),
                "signs": " ".join(s.value for s in draft.signs),
                "expected": expected,
            }
        case NewNote():
            return {**asdict(draft), "is_look": False}
        case NewJob():
            return _job_detail(session, tank_id, draft)
        case NewStockEvent():
            _check_animals(session, tank_id, draft)
            return {**asdict(draft), "what": draft.what.value}
        case _:
            return asdict(draft)


def _job_detail(session: Session, tank_id: int, job: NewJob) -> dict[str, Any]:
    if job.plant_id is not None:
        plant = session.get(Plant, job.plant_id)
        if plant is None or plant.tank_id != tank_id:
            raise NotFound("There is no such plant in this tank.")
    values = asdict(job)
    values.pop("treatment")
    return {
        **values,
        "job": job.job.value,
        "treated": job.treated.value if job.treated else None,
        "rinse": job.rinse.value if job.rinse else None,
    }


def _check_animals(session: Session, tank_id: int, event: NewStockEvent) -> None:
    group = session.get(StockGroup, event.group_id)
    if group is None or group.tank_id != tank_id:
        raise NotFound("There is no such group in this tank.")
    if event.batch_id is not None:
        batch = session.get(StockBatch, event.batch_id)
        if batch is None or batch.group_id != group.id:
            raise Refused(f"That batch is not one of {group.name}.")
    if event.hidden and event.what not in _LOSSES:
        raise Refused("Only a loss can be kept from the pupils for a while.")
    if event.what is StockEventKind.MEASURED and event.length_cm is None:
        raise Refused("Enter how long they are, from the mouth to the end of the tail.")


def _meal_detail(session: Session, tank_id: int, meal: NewMeal) -> dict[str, Any]:
    scoop = session.scalar(
        select(Scoop)
        .where(Scoop.tank_id == tank_id)
        .order_by(Scoop.weighed_at.desc(), Scoop.id.desc())
        .limit(1)
    )
    grams = None if scoop is None or meal.scoops is None else scoop.grams * meal.scoops
    return {**asdict(meal), "grams": grams, "scoop_id": scoop.id if scoop else None}


def carried_over(session: Session, entry_id: int, draft: Draft) -> Draft:
    """The draft of a correction of this entry, with what its form does not ask.

    Raises:
        Refused: If the entry is half of a move, or a look became a mere note or the other way.
    """
    if isinstance(draft, NewLook | NewNote):
        if session.get_one(Observation, entry_id).is_look is isinstance(draft, NewNote):
            raise Refused("A correction keeps the kind of entry. Take this one back instead.")
        return draft
    if isinstance(draft, NewStockEvent):
        event = session.get_one(StockEvent, entry_id)
        if event.what in _MOVES:
            raise Refused("A move concerns two tanks. Take it back, then write it again.")
        is_loss = draft.what in _LOSSES
        kept = draft.batch_id is None and draft.group_id == event.group_id
        return replace(
            draft,
            hidden=is_loss and (draft.hidden or event.hidden),
            batch_id=event.batch_id if kept else draft.batch_id,
        )
    if isinstance(draft, NewJob):
        job = session.get_one(Job, entry_id)
        if job.job != draft.job.value:
            return draft
        before = job.treatment
        return replace(
            draft,
            plant_id=job.plant_id if draft.plant_id is None else draft.plant_id,
            step=draft.step or job.step,
            treatment=draft.treatment
            if before is None or draft.treatment is not None
            else same_names(Treatment, before),
        )
    return draft
