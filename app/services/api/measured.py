"""A value that a program sends becoming a reading: judged by the guard that judges typed ones."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from typing import Final

from sqlalchemy.orm import Session

from app.domain import guard
from app.domain.errors import Refused
from app.domain.guard import Blank, Impossible, NewReading, Unusual
from app.domain.quantities import FACTS, Quantity, Unit
from app.storage.queries import programs

LARGEST: Final = 1_000_000
"""No value is larger; what a quantity can be at all is told by `quantities.FACTS`."""
DECIMALS: Final = 6
USUAL_VALUES: Final = 8
_CONFIRM: Final = 'If it is right, send it with "confirmed": true.'


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """A value as it was sent; `basis` None where it was not said.

    `confirmed` says that a value far from what is usual was measured once more.
    """

    quantity: Quantity
    value: Decimal
    unit: str
    basis: str | None = None
    confirmed: bool = False


class NotTaken(Refused):
    """Values that are not taken: `faults` are places in the list with a sentence.

    `unusual` says that each of them can be, and only has to be confirmed.
    """

    def __init__(self, faults: Sequence[tuple[int, str]], *, unusual: bool) -> None:
        said = "far from what is usual here" if unusual else "not possible"
        super().__init__(f"Nothing was saved: some values are {said}.")
        self.faults = tuple(faults)
        self.unusual = unusual


def unit_of(quantity: Quantity, symbol: str, basis: str | None) -> Unit:
    """The unit that was meant.

    Raises:
        ValueError: With a sentence, if the quantity is never written so, or if it stays open as
            what the value is counted.
    """
    facts = FACTS[quantity]
    same = [unit for unit in facts.units if unit.symbol == symbol]
    found = [unit for unit in same if basis is None or unit.basis == basis]
    if len(found) == 1:
        return found[0]
    if not same:
        units = " or ".join(dict.fromkeys(f'"{unit.symbol}"' for unit in facts.units))
        raise ValueError(f"{facts.label} is sent with the unit {units}.")
    bases = " or ".join(f'"{unit.basis}"' for unit in same)
    raise ValueError(f"{facts.label} in {symbol} is sent with the basis {bases}.")


class Judge:
    """Judges values of one post, in the order of their times; what was taken before counts."""

    def __init__(self, session: Session, tank_id: int) -> None:
        self._session = session
        self._tank_id = tank_id
        self._usual: dict[Quantity, list[float]] = {}
        self._impossible: list[tuple[int, str]] = []
        self._unusual: list[tuple[int, str]] = []

    def take(self, place: int, sent: Measured, at: datetime) -> NewReading | None:
        """The reading, or None where `finish` will say why not.

        Args:
            place: Where the value stands in what was sent.
            sent: The value.
            at: When it was measured; of one quantity never before the last one.
        """
        try:
            unit = unit_of(sent.quantity, sent.unit, sent.basis)
        except ValueError as error:
            self.complain(place, str(error))
            return None
        usual = self._usual_of(sent.quantity, at)
        typed = f"{round(sent.value, DECIMALS).normalize():f}"
        verdict = guard.check(typed, sent.quantity, unit, usual=tuple(usual[-USUAL_VALUES:]))
        if isinstance(verdict, Impossible):
            self.complain(place, verdict.message)
            return None
        if isinstance(verdict, Unusual) and not sent.confirmed:
            self._unusual.append((place, f"{verdict.message} {_CONFIRM}"))
            return None
        if isinstance(verdict, Blank):
            raise TypeError("a number is never blank")
        taken = verdict.held if isinstance(verdict, Unusual) else verdict.readings[0]
        if taken.value is not None:
            usual.append(taken.value)
        return taken

    def complain(self, place: int, sentence: str) -> None:
        """Let `finish` say what is not possible with the value at a place."""
        self._impossible.append((place, sentence))

    def finish(self) -> None:
        """Refuse the whole post if one of its values was not taken.

        Raises:
            NotTaken: With all that are not possible, else with all that are to be confirmed.
        """
        if self._impossible:
            raise NotTaken(sorted(self._impossible), unusual=False)
        if self._unusual:
            raise NotTaken(sorted(self._unusual), unusual=True)

    def _usual_of(self, quantity: Quantity, at: datetime) -> list[float]:
        if quantity not in self._usual:
            self._usual[quantity] = list(
                programs.recent_values(self._session, self._tank_id, quantity, at, USUAL_VALUES)
            )
        return self._usual[quantity]
