"""Sealed guesses about the next reading: nobody sees them before it is written."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from app.domain.forecast import Forecast
from app.domain.quantities import FACTS, Quantity, Unit
from app.domain.records import Reading


class RoundState(StrEnum):
    """How far a round has come."""

    OPEN = "open"
    SEALED = "closed, the test is still to come"
    MEASURED = "measured"
    ENDED = "called off"


@dataclass(frozen=True, slots=True, kw_only=True)
class Guess:
    """One guess in the kept unit, and the tile it came from."""

    id: int
    author_id: int
    name: str
    value: float
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """A round of guesses about the next reading of a quantity.

    `symbol` and `basis` are the unit in which it is guessed. It closes at `closes_at`, when the
    reading was written down (`seen_at`, also if that was taken back since), or when an adult ended
    it. `last` and `forecast` are what "the same as last time" and the program said when it was
    opened. `reading` is what was measured first, as it counts now.
    """

    id: int
    quantity: Quantity
    symbol: str
    basis: str
    opened_at: datetime
    closes_at: datetime | None = None
    ended_at: datetime | None = None
    seen_at: datetime | None = None
    last: float | None = None
    forecast: Forecast | None = None
    reading: Reading | None = None
    guesses: tuple[Guess, ...] = ()

    @property
    def unit(self) -> Unit:
        """The unit in which it is guessed."""
        return FACTS[self.quantity].unit_named(self.symbol, self.basis)

    def state(self, now: datetime) -> RoundState:
        """How far it has come by now."""
        if self.ended_at is not None:
            return RoundState.ENDED
        if self.reading is not None:
            return RoundState.MEASURED
        closed = self.seen_at is not None or (self.closes_at is not None and self.closes_at <= now)
        return RoundState.SEALED if closed else RoundState.OPEN
