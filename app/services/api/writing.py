"""Entries that a program writes down: once for each key, with the questions the pages ask."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy.orm import Session

from app.domain.drafts import Draft, NewJob, NewLook, NewMeal
from app.domain.errors import Refused, SillpondError, TokenReused
from app.domain.guard import NewReading
from app.domain.measures import net_volume
from app.services import entries, meals, tanks
from app.services.access.api_tokens import Program
from app.services.api.measured import Judge, Measured
from app.services.entries import Saved, Stamp
from app.services.meals import MealQuestion
from app.storage.queries import entries as rows
from app.storage.queries import livestock


class Question(SillpondError):
    """Something is asked before it is written; nothing is stored. `code` is one word for it."""

    def __init__(self, code: str, sentence: str) -> None:
        super().__init__(sentence)
        self.code = code


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """An entry as it was sent; `at` None: just now.

    `again` says that food really went in, `confirmed` that the count of a look is right.
    """

    key: str
    at: datetime | None
    draft: Draft
    measured: tuple[Measured, ...] = ()
    again: bool = False
    confirmed: bool = False


def record(session: Session, program: Program, tank_id: int, sent: Sent, *, now: datetime) -> Saved:
    """Write an entry down once; the same key with the same content is the same entry.

    Args:
        session: A session that writes.
        program: Who sends it.
        tank_id: Of which tank.
        sent: What was done, when, and what was measured with it.
        now: The present moment.

    Raises:
        NotFound: If there is no such tank.
        NotTaken: If a value is not possible, or has to be confirmed.
        Question: If something has to be said first.
        TokenReused: If the key stands for another entry.
        Refused: If the time has not come, the tank was closed before, or more water came out than
            it holds.
    """
    entries.raise_revision(session, tank_id)
    tank = tanks.tank(session, tank_id)
    at = sent.at or now
    stamp = Stamp(
        tank_id=tank_id,
        token=_token(program, sent.key),
        happened_at=at,
        author_id=program.author_id,
    )
    before = _saved_before(session, stamp, sent)
    if before is not None:
        session.rollback()
        return before
    readings = _judged(session, tank_id, sent.measured, at)
    match sent.draft:
        case NewMeal():
            return _meal(session, stamp, sent.draft, readings, again=sent.again, now=now)
        case NewLook():
            _check_look(session, tank_id, sent.draft, confirmed=sent.confirmed)
        case NewJob():
            volume = net_volume(tank.shape)
            out = sent.draft.liters_out
            if volume is not None and out is not None and out > volume.net_l:
                raise Refused("That is more water than the tank holds.")
        case _:
            pass
    return entries.record(session, stamp, sent.draft, readings, now=now)


def _token(program: Program, key: str) -> str:
    """The token of an entry: keys of several programs never meet."""
    return f"program-{hashlib.sha256(f'{program.token_id}:{key}'.encode()).hexdigest()[:48]}"


def _saved_before(session: Session, stamp: Stamp, sent: Sent) -> Saved | None:
    """What the same key saved before; the values are as they were taken then."""
    known = rows.by_token(session, stamp.tank_id, stamp.token)
    if known is None:
        return None
    if sent.at is not None and sent.at != known.happened_at:
        raise TokenReused(known.id)
    confirmed = [replace(each, confirmed=True) for each in sent.measured]
    readings = _judged(session, stamp.tank_id, confirmed, known.happened_at)
    return entries.saved_before(session, stamp, sent.draft, readings)


def _judged(
    session: Session, tank_id: int, measured: Sequence[Measured], at: datetime
) -> tuple[NewReading, ...]:
    judge = Judge(session, tank_id)
    taken = [judge.take(place, each, at) for place, each in enumerate(measured)]
    judge.finish()
    return tuple(each for each in taken if each is not None)


def _meal(
    session: Session,
    stamp: Stamp,
    meal: NewMeal,
    readings: tuple[NewReading, ...],
    *,
    again: bool,
    now: datetime,
) -> Saved:
    saved = meals.record_meal(session, stamp, meal, readings, again=again, now=now)
    if isinstance(saved, MealQuestion):
        # the question of the pages may name who fed
        raise Question(
            "food",
            "That day food went in already, or none was meant to go in. "
            'If it really went in, send it with "again": true.',
        )
    return saved


def _check_look(
    session: Session,
    tank_id: int,
    look: NewLook,
    *,
    confirmed: bool,
) -> None:
    untold = sum(count for _, count in livestock.untold_losses(session, tank_id))
    known = (livestock.expected(session, tank_id) or 0) + untold
    if look.seen is not None and look.seen > known > 0 and not confirmed:
        raise Question(
            "count",
            "That is more than are written down. Babies, or counted twice? "
            'If it is right, send it with "confirmed": true.',
        )
