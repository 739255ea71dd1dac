"""What a welfare record says of a need: evidence, what speaks against it, and gaps."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Final

from app.domain.calendar import somebody_comes
from app.domain.snapshot import TankSnapshot
from app.knowledge.model import Knowledge

_DAYS: Final = "welfare.days"


@dataclass(frozen=True, slots=True)
class Line:
    """One thing that the record shows."""

    label: str
    text: str


@dataclass(frozen=True, slots=True)
class Period:
    """The days that the record looks back on, with those on which somebody was meant to come.

    Both begin at the earliest with the first entry.
    """

    first: date
    last: date
    present: frozenset[date]

    def holds(self, day: date) -> bool:
        """Whether a day is one of them."""
        return self.first <= day <= self.last

    def of(self, days: Iterable[date]) -> frozenset[date]:
        """Those of the given days on which somebody was meant to come."""
        return self.present & frozenset(days)

    @property
    def words(self) -> str:
        """Of which days the record speaks."""
        return f"the {(self.last - self.first).days + 1} days of this record"


def period_of(snapshot: TankSnapshot, knowledge: Knowledge) -> Period:
    """The days of a welfare record that ends now; this day is still open, and not asked for."""
    first = snapshot.today - timedelta(days=round(knowledge.value(_DAYS)) - 1)
    started = snapshot.tank.started_on
    if started is not None and first < started <= snapshot.today:
        first = started
    length = (snapshot.today - first).days
    days = (first + timedelta(days=offset) for offset in range(length))
    present = frozenset(day for day in days if somebody_comes(snapshot.site, day))
    return Period(first, snapshot.today, present)


@dataclass(slots=True)
class Shown:
    """What was found for a need while its lines are put together."""

    _evidence: list[Line] = field(default_factory=list)
    _against: list[str] = field(default_factory=list)
    _gaps: list[str] = field(default_factory=list)

    def say(self, label: str, text: str, gap: str = "") -> None:
        """Evidence, or the gap where there is none."""
        if text:
            self._evidence.append(Line(label, text))
        elif gap:
            self.lack(gap)

    def object(self, text: str) -> None:
        """Something that speaks against the need being met."""
        self._against.append(text)

    def lack(self, gap: str) -> None:
        """Something that nobody wrote down."""
        self._gaps.append(gap)

    @property
    def evidence(self) -> tuple[Line, ...]:
        """What shows that the need is met."""
        return tuple(self._evidence)

    @property
    def against(self) -> tuple[str, ...]:
        """What speaks against it."""
        return tuple(self._against)

    @property
    def gaps(self) -> tuple[str, ...]:
        """What nobody wrote down."""
        return tuple(self._gaps)
