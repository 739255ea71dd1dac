"""The plants of a tank: which, how many, and which were taken out."""

from dataclasses import asdict, dataclass
from datetime import date, datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.domain.drafts import NewJob
from app.domain.errors import NotFound, Refused, TokenReused
from app.domain.livestock import Plant
from app.domain.records import JobKind
from app.knowledge.load import load
from app.science.nitrogen import trimmed_nitrogen_mg
from app.services import entries
from app.services.entries import Saved, Stamp
from app.services.names import optional, required
from app.services.transaction import begin, finish, one_transaction
from app.storage.base import folded
from app.storage.models.livestock import Plant as PlantRow
from app.storage.queries import entries as entry_queries
from app.storage.queries import greenery, livestock

AMOUNTS = ("none", "sparse", "moderate", "dense")
AMOUNT_WORDS = {"none": "Nothing", "sparse": "Sparse", "moderate": "Moderate", "dense": "Dense"}
_SPECIES = 120


@dataclass(frozen=True, slots=True, kw_only=True)
class PlantDraft:
    """What somebody typed about a plant; `amount` is one of `AMOUNTS`."""

    name: str
    species: str = ""
    amount: str = "moderate"
    floating: bool = False


def plants(session: Session, tank_id: int, *, removed: bool = False) -> tuple[Plant, ...]:
    """The plants of a tank; with those that were taken out when `removed` is set."""
    return tuple(livestock.plants(session, [tank_id], removed=removed)[tank_id])


@dataclass(frozen=True, slots=True)
class Trimmed:
    """Fresh plants in g that left in one month, and the nitrogen in them in mg, low and high."""

    first_day: date
    grams: float
    nitrogen_mg: tuple[float, float]


@dataclass(frozen=True, slots=True)
class AlgaeSeen:
    """How much algae somebody saw on a day, from 0 (none) to 3 (everywhere)."""

    day: date
    step: int
    note: str


def plant_of(session: Session, tank_id: int, plant_id: int) -> Plant:
    """A plant of this tank, grown or taken out.

    Raises:
        NotFound: If the tank has no such plant.
    """
    for found in plants(session, tank_id, removed=True):
        if found.id == plant_id:
            return found
    raise NotFound("There is no such plant in this tank.")


def trimmed_by_month(session: Session, tank_id: int) -> tuple[Trimmed, ...]:
    """What was weighed when it was trimmed or taken out, by month, the newest first."""
    known = load()
    tissue = known.value("plants.tissue-n")
    dry = (known.value("plants.dry-low") / 100.0, known.value("plants.dry-high") / 100.0)
    months: dict[date, float] = {}
    for day, grams in greenery.weighed(session, tank_id):
        first = day.replace(day=1)
        months[first] = months.get(first, 0.0) + grams
    return tuple(
        Trimmed(
            first,
            grams,
            (
                trimmed_nitrogen_mg(grams, dry[0], tissue),
                trimmed_nitrogen_mg(grams, dry[1], tissue),
            ),
        )
        for first, grams in sorted(months.items(), reverse=True)
    )


def algae_seen(session: Session, tank_id: int, most: int = 24) -> tuple[AlgaeSeen, ...]:
    """The last looks that say how much algae there is, the newest first."""
    return tuple(AlgaeSeen(*row) for row in greenery.algae(session, tank_id, most))


def plant(session: Session, stamp: Stamp, draft: PlantDraft, *, now: datetime) -> int:
    """A plant was planted: one more in the list, and the entry of it, together or not at all.

    Returns:
        The plant's id; of the one saved before where the same form comes twice.

    Raises:
        Refused: As for `add`.
        TokenReused: If the same form was saved before with another plant.
    """
    before = entry_queries.by_token(session, stamp.tank_id, stamp.token)
    if before is not None:
        name = required(draft.name, "Enter the name of the plant.")
        planted = greenery.planted_by(session, before.id)
        if planted is None or planted[1] != name:
            raise TokenReused(before.id)
        return planted[0]
    with one_transaction(session):
        plant_id = add(session, stamp.tank_id, draft)
        job = NewJob(job=JobKind.PLANTED, plant_id=plant_id)
        entries.record(session, stamp, job, now=now)
    return plant_id


def tend(session: Session, stamp: Stamp, job: NewJob, amount: str, *, now: datetime) -> Saved:
    """A plant was trimmed, planted more of or taken out: the entry, and how much grows now.

    Raises:
        NotFound: If the tank has no such plant.
        TokenReused: If the same form was saved before with other values.
    """
    plant_id = plant_of(session, stamp.tank_id, job.plant_id or 0).id
    if (saved := entries.saved_before(session, stamp, job, ())) is not None:
        return saved
    with one_transaction(session):
        if job.job is JobKind.PLANT_REMOVED:
            remove(session, plant_id)
        else:
            set_amount(session, plant_id, amount)
        return entries.record(session, stamp, job, now=now)


def add(session: Session, tank_id: int, draft: PlantDraft) -> int:
    """A kind of plant more in a tank; returns its id.

    Raises:
        NotFound: If there is no such tank.
        Refused: If it has no name, no such amount, or grows in the tank already.
    """
    values = _columns(draft)
    begin(session, tank_id)
    _check_twin(session, tank_id, values["folded"])
    row = PlantRow(tank_id=tank_id, **values)
    session.add(row)
    session.flush()
    finish(session)
    return row.id


def change(session: Session, plant_id: int, draft: PlantDraft) -> None:
    """Change what is known about a plant.

    Raises:
        NotFound: If it is not there.
        Refused: If it has no name, no such amount, or another plant has its name.
    """
    values = _columns(draft)
    _set(session, plant_id, values)


def set_amount(session: Session, plant_id: int, amount: str) -> None:
    """How much of it there is now.

    Raises:
        NotFound: If it is not there.
        Refused: If there is no such amount.
    """
    if amount not in AMOUNTS:
        raise Refused("Choose how much of it there is.")
    _set(session, plant_id, {"amount": amount})


def remove(session: Session, plant_id: int) -> None:
    """It was taken out; what was written of it stays.

    Raises:
        NotFound: If it is not there.
    """
    _set(session, plant_id, {"removed": True})


def bring_back(session: Session, plant_id: int) -> None:
    """It grows in the tank after all.

    Raises:
        NotFound: If it is not there.
        Refused: If another plant has its name meanwhile.
    """
    _set(session, plant_id, {"removed": False})


def _set(session: Session, plant_id: int, values: dict[str, Any]) -> None:
    row = session.get(PlantRow, plant_id)
    if row is None:
        raise NotFound("There is no such plant.")
    begin(session, row.tank_id)
    if not values.get("removed", row.removed):
        _check_twin(session, row.tank_id, values.get("folded", row.folded), plant_id)
    for column, value in values.items():
        setattr(row, column, value)
    finish(session)


def _check_twin(session: Session, tank_id: int, name: str, plant_id: int | None = None) -> None:
    twin = session.scalar(
        select(PlantRow.name).where(
            PlantRow.tank_id == tank_id,
            PlantRow.folded == name,
            PlantRow.removed.is_(False),
            PlantRow.id != (plant_id or 0),
        )
    )
    if twin is not None:
        raise Refused(f"{twin} stands in the list already.")


def _columns(draft: PlantDraft) -> dict[str, Any]:
    if draft.amount not in AMOUNTS:
        raise Refused("Choose how much of it there is.")
    name = required(draft.name, "Enter the name of the plant.")
    species = optional(draft.species, _SPECIES)
    return {**asdict(draft), "name": name, "folded": folded(name), "species": species}
