"""A time without people: from leaving to coming back, and what each part of it comes to."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from typing import Final
from zoneinfo import ZoneInfo

from app.domain.calendar import local_day
from app.domain.wording import count, full_day
from app.estimates.model import Estimate, Triple

_DAY: Final = timedelta(days=1)

Moments = tuple[datetime | None, datetime | None, datetime | None]
"""Soonest, likeliest, latest; None where it does not come to it."""


class Trouble(StrEnum):
    """What may go wrong while nobody is there."""

    FOOD = "food"
    NITRATE = "nitrate"
    LEVEL = "level"
    WARMTH = "warmth"
    OXYGEN = "oxygen"


FAILS: Final[Mapping[Trouble, str]] = {
    Trouble.FOOD: "The animals are too long without food",
    Trouble.NITRATE: "Nitrate comes to its line",
    Trouble.LEVEL: "The water comes to the heater line",
    Trouble.WARMTH: "The water gets colder than the heater is set to",
    Trouble.OXYGEN: "Oxygen gets low by night",
}
"""What it is that happens, before a colon and a day."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Away:
    """From leaving to coming back, with the visits in between; None: as the record says.

    `grams` is food at each visit, `evaporation_mm` the fall of the water in a day, `room_c` the
    coldest that the room gets, `heater_w` what the heaters give, `room_then_c` the room while the
    tank once cooled without a heater.
    """

    leaves: datetime
    returns: datetime
    visits: int = 0
    grams: float | None = None
    evaporation_mm: float | None = None
    room_c: float | None = None
    heater_w: float | None = None
    room_then_c: float | None = None

    @property
    def days(self) -> float:
        """How long it lasts."""
        return (self.returns - self.leaves) / _DAY

    @property
    def visits_text(self) -> str:
        """How many visits, in words."""
        return count(self.visits, "visit", "visits") if self.visits else "no visit"

    def after(self, days: float) -> datetime | None:
        """The moment so many days after leaving; None where everybody is back by then."""
        return self.leaves + _DAY * days if days < self.days else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One thing that was rehearsed: what it comes to, and when it would fail.

    `first` and `last` are the moments for the worst and the best ends, `likely` is that of the
    best guess; None where it holds until everybody is back. `help` says what would prevent it,
    `back` what the first reading after coming back would show (low, best, high), or None.
    """

    trouble: Trouble
    estimate: Estimate
    first: datetime | None = None
    likely: datetime | None = None
    last: datetime | None = None
    help: str = ""
    back: Triple | None = None

    @property
    def fails(self) -> bool:
        """Whether it fails by the best guess."""
        return self.likely is not None

    @property
    def may_fail(self) -> bool:
        """Whether it fails with its worst ends only."""
        return self.first is not None and self.likely is None


def unknown(trouble: Trouble, what: str, unit: str, missing: tuple[str, ...]) -> Part:
    """A part that cannot be told, because of what nobody wrote."""
    return Part(
        trouble=trouble,
        estimate=Estimate(
            what=what, unit=unit, decimals=0, known=False, missing=missing,
            sentence="It cannot be estimated yet.",
        ),
    )  # fmt: skip


def moment_text(part: Part, away: Away, zone: str) -> str:
    """When a part fails by the best guess: with the hour only where the ends lie within a day.

    It is read by those who leave and by those who stay, and speaks to neither.
    """
    if part.likely is None:
        return ""
    if part.likely <= away.leaves:
        return "from the first day on"
    if part.first is None or part.last is None or part.last - part.first >= _DAY:
        return full_day(local_day(part.likely, zone))
    nearest = part.likely + timedelta(minutes=30)
    hour = nearest.astimezone(ZoneInfo(zone)).hour
    return (
        f"{full_day(local_day(nearest, zone))}, about {hour % 12 or 12} "
        f"{'am' if hour < 12 else 'pm'}"
    )
