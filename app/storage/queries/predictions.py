"""Rounds of guesses with their guesses, and the reading that closed each."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from typing import Any

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from app.domain.kit import Kit
from app.domain.prediction import Guess, Round
from app.domain.quantities import Quantity
from app.domain.records import EntryKind, Reading
from app.storage import snapshot
from app.storage.models.access import Author
from app.storage.models.entry import Entry
from app.storage.models.forecast import Forecast as ForecastRow
from app.storage.models.forecast import Prediction
from app.storage.models.forecast import PredictionRound as RoundRow
from app.storage.models.water import Reading as ReadingRow
from app.storage.queries import forecasts


def rounds(
    session: Session,
    tank_id: int,
    kits: Sequence[Kit],
    *,
    round_id: int | None = None,
    limit: int,
) -> tuple[Round, ...]:
    """The last rounds of a tank, or one of them, newest first, in three statements."""
    query = (
        select(RoundRow, ForecastRow, _seen_at(), _measured_by())
        .outerjoin(ForecastRow, ForecastRow.id == RoundRow.forecast_id)
        .where(RoundRow.tank_id == tank_id)
        .order_by(RoundRow.opened_at.desc(), RoundRow.id.desc())
        .limit(limit)
    )
    if round_id is not None:
        query = query.where(RoundRow.id == round_id)
    rows = session.execute(query).all()
    measured = _readings(session, [row[3] for row in rows if row[3] is not None], kits)
    written = _guesses(session, [row[0].id for row in rows])
    return tuple(_round(*row, measured=measured, guesses=written[row[0].id]) for row in rows)


def _round(
    row: RoundRow,
    forecast: ForecastRow | None,
    seen_at: Any,
    entry_id: int | None,
    *,
    measured: Mapping[tuple[int, str], Reading],
    guesses: Sequence[Guess],
) -> Round:
    return Round(
        id=row.id,
        quantity=Quantity(row.quantity),
        symbol=row.unit,
        basis=row.basis,
        opened_at=row.opened_at,
        closes_at=row.closes_at,
        ended_at=row.ended_at,
        seen_at=seen_at,
        last=row.last,
        forecast=None if forecast is None else forecasts.record(forecast, None),
        reading=None if entry_id is None else measured.get((entry_id, row.quantity)),
        guesses=tuple(guesses),
    )


def _seen_at() -> Any:
    """When a reading of the round's quantity was first written down, taken back since or not."""
    return (
        select(func.min(Entry.recorded_at))
        .select_from(ReadingRow)
        .join(Entry, Entry.id == ReadingRow.entry_id)
        .where(*_of_the_round())
        .correlate(RoundRow)
        .scalar_subquery()
    )


def _measured_by() -> Any:
    """The entry of the first reading that counts."""
    return (
        select(ReadingRow.entry_id)
        .join(Entry, Entry.id == ReadingRow.entry_id)
        .where(*_of_the_round(), ReadingRow.in_force.is_(True))
        .order_by(ReadingRow.at, ReadingRow.id)
        .limit(1)
        .correlate(RoundRow)
        .scalar_subquery()
    )


def _of_the_round() -> tuple[Any, ...]:
    """Readings that people took from the opening on."""
    return (
        ReadingRow.tank_id == RoundRow.tank_id,
        ReadingRow.quantity == RoundRow.quantity,
        ReadingRow.at >= RoundRow.opened_at,
        Entry.kind != EntryKind.LOGGER.value,
    )


def _readings(
    session: Session, entry_ids: Sequence[int], kits: Sequence[Kit]
) -> dict[tuple[int, str], Reading]:
    query = (
        select(ReadingRow)
        .where(ReadingRow.entry_id.in_(entry_ids))
        .order_by(ReadingRow.at, ReadingRow.id)
    )
    found: dict[tuple[int, str], Reading] = {}
    for reading in snapshot.combined(session.scalars(query), kits):
        found.setdefault((reading.entry_id, reading.quantity.value), reading)
    return found


def _guesses(session: Session, round_ids: Sequence[int]) -> dict[int, list[Guess]]:
    query = (
        select(Prediction, Author.shown)
        .join(Author, Author.id == Prediction.author_id)
        .where(Prediction.round_id.in_(round_ids))
        .order_by(Prediction.id)
    )
    found: dict[int, list[Guess]] = defaultdict(list)
    for row, name in session.execute(query):
        found[row.round_id].append(
            Guess(id=row.id, author_id=row.author_id, name=name, value=row.value, at=row.at)
        )
    return found
