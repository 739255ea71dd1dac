"""Rounds of sealed guesses: opened by an adult, closed by the test, scored for the method."""

from datetime import datetime, timedelta
from typing import Final

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from app.domain.errors import NotFound, Refused
from app.domain.kit import shown_unit
from app.domain.prediction import Round, RoundState
from app.domain.quantities import Quantity, Unit
from app.domain.snapshot import TankSnapshot
from app.knowledge.model import Knowledge
from app.services import tanks
from app.services.ahead import ledger
from app.services.entries import FIX_TIME
from app.services.transaction import begin, finish
from app.storage import snapshot as storage
from app.storage.models.access import Author
from app.storage.models.forecast import Prediction
from app.storage.models.forecast import PredictionRound as RoundRow
from app.storage.queries import kits, predictions

_SHOWN: Final = 20
_A_DAY: Final = timedelta(days=1)


def rounds(session: Session, tank_id: int) -> tuple[Round, ...]:
    """The last rounds of a tank, newest first.

    Raises:
        NotFound: If there is no such tank.
    """
    tanks.tank(session, tank_id)
    return predictions.rounds(session, tank_id, kits.all_kits(session), limit=_SHOWN)


def one(session: Session, tank_id: int, round_id: int) -> Round:
    """One round.

    Raises:
        NotFound: If the tank has no such round.
    """
    found = predictions.rounds(session, tank_id, kits.all_kits(session), round_id=round_id, limit=1)
    if not found:
        raise NotFound("This tank has no such round of guesses.")
    return found[0]


def guessable(snapshot: TankSnapshot) -> tuple[Quantity, ...]:
    """What can be guessed: what was measured before, or has a kit in use."""
    with_kit = {kit.quantity for kit in snapshot.kits if kit.retired_on is None}
    return tuple(q for q in Quantity if q in with_kit or snapshot.of(q))


def unit_of(snapshot: TankSnapshot, quantity: Quantity) -> Unit:
    """The unit in which a quantity is guessed: that of the newest kit in use."""
    used = [k for k in snapshot.kits if k.quantity is quantity and k.retired_on is None]
    return shown_unit(used[-1], snapshot.site) if used else snapshot.site.unit_of(quantity)


def open_round(
    session: Session,
    tank_id: int,
    quantity: Quantity,
    *,
    closes_at: datetime | None,
    author_id: int,
    token: str,
    now: datetime,
) -> int:
    """Open a round of guesses; what the program and "the same as last time" say is kept with it.

    Returns the round's id; the same form twice opens one.

    Args:
        session: A writing session.
        tank_id: The tank.
        quantity: What is guessed.
        closes_at: When guessing ends; None: when the next reading is written.
        author_id: Who opens it.
        token: The form's token.
        now: The present moment.

    Raises:
        NotFound: If there is no such tank.
        Refused: If a round of this quantity is open, the time is past, or the tank is closed.
    """
    begin(session, tank_id)
    before = session.scalar(
        select(RoundRow).where(RoundRow.tank_id == tank_id, RoundRow.token == token)
    )
    if before is not None:
        session.rollback()
        return before.id
    if closes_at is not None and closes_at <= now:
        raise Refused("Choose a time that is still to come.")
    if any(r.quantity is quantity for r in open_rounds(session, tank_id, now=now)):
        raise Refused("A round of this is open. Write the test, or call that round off first.")
    (snapshot,) = storage.load(session, [tank_id], now)
    if snapshot.tank.closed_on is not None:
        raise Refused("This tank is closed: no test will come.")
    unit, last = unit_of(snapshot, quantity), snapshot.latest(quantity)
    about_at = closes_at or ledger.next_test(snapshot, quantity) or now
    forecast = ledger.row_for(session, snapshot, quantity, max(about_at, now + _A_DAY / 24))
    if forecast is not None:
        session.add(forecast)
        session.flush()
    row = RoundRow(
        tank_id=tank_id,
        quantity=quantity.value,
        unit=unit.symbol,
        basis=unit.basis,
        opened_at=now,
        opened_by_id=author_id,
        closes_at=closes_at,
        token=token,
        last=None if last is None else last.best,
        forecast_id=None if forecast is None else forecast.id,
    )
    session.add(row)
    session.flush()
    finish(session)
    return row.id


def open_rounds(session: Session, tank_id: int, *, now: datetime) -> tuple[Round, ...]:
    """The rounds in which guesses are taken now."""
    found = predictions.rounds(session, tank_id, kits.all_kits(session), limit=_SHOWN)
    return tuple(each for each in found if each.state(now) is RoundState.OPEN)


def write_guess(
    session: Session,
    tank_id: int,
    round_id: int,
    value: float,
    typed: str,
    *,
    author_id: int,
    token: str,
    now: datetime,
) -> int:
    """Seal the guess of a tile, in the kept unit; returns its id. The same form twice is one.

    Raises:
        NotFound: If the tank has no such round, or there is no such tile.
        Refused: If the round is closed, the tile has a guess in it, or the form was sent before
            with another guess.
    """
    begin(session, tank_id)
    before = session.scalar(
        select(Prediction).where(Prediction.round_id == round_id, Prediction.token == token)
    )
    if before is not None:
        session.rollback()
        if (before.author_id, before.value) != (author_id, value):
            raise Refused("This guess is sealed with another number. Take it back first.")
        return before.id
    found = _still_open(session, tank_id, round_id, now)
    if session.get(Author, author_id) is None:
        raise NotFound("There is no such tile.")
    if any(g.author_id == author_id for g in found.guesses):
        raise Refused("This tile has a guess. Take it back first, or pick your own tile.")
    row = Prediction(
        round_id=round_id, author_id=author_id, value=value, typed=typed, at=now, token=token
    )
    session.add(row)
    session.flush()
    finish(session)
    return row.id


def take_back(
    session: Session, tank_id: int, round_id: int, guess_id: int, *, is_adult: bool, now: datetime
) -> bool:
    """Take a guess out of an open round, so that the tile can guess again; nothing is kept of it.

    Returns:
        Whether there was such a guess.

    Raises:
        NotFound: If the tank has no such round.
        Refused: If the round is closed, or a helper asks after 10 minutes.
    """
    begin(session, tank_id)
    found = _still_open(session, tank_id, round_id, now)
    guess = next((g for g in found.guesses if g.id == guess_id), None)
    if guess is not None and not is_adult and now - guess.at > FIX_TIME:
        raise Refused("The 10 minutes are over. Ask the grown-up in charge.")
    session.execute(
        delete(Prediction).where(Prediction.id == guess_id, Prediction.round_id == round_id)
    )
    finish(session)
    return guess is not None


def call_off(session: Session, tank_id: int, round_id: int, *, now: datetime) -> None:
    """End a round that no test closed; its guesses stay sealed. Twice is the same as once.

    Raises:
        NotFound: If the tank has no such round.
        Refused: If it was measured.
    """
    begin(session, tank_id)
    state = one(session, tank_id, round_id).state(now)
    if state is RoundState.MEASURED:
        raise Refused("This round has its test. It stays as it is.")
    if state is not RoundState.ENDED:
        session.get_one(RoundRow, round_id).ended_at = now
    finish(session)


def _still_open(session: Session, tank_id: int, round_id: int, now: datetime) -> Round:
    found = one(session, tank_id, round_id)
    if found.state(now) is not RoundState.OPEN:
        raise Refused("This round is closed. No more guesses go in or out.")
    return found


def answer(snapshot: TankSnapshot, _knowledge: Knowledge) -> str:
    """What can be guessed here, in a sentence."""
    if not guessable(snapshot):
        return "Nothing was measured yet that could be guessed."
    return "Everybody seals a guess before the next test. When it is written, all are opened."
