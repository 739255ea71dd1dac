"""The only place where the clock is read; everything below the edge takes `now`."""

from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Protocol


class Clock(Protocol):
    """Tells the present moment as an aware UTC time."""

    def now(self) -> datetime:
        """The present moment, aware, in UTC."""


class SystemClock:
    """The computer's own clock."""

    def now(self) -> datetime:
        """The present moment, aware, in UTC."""
        return datetime.now(UTC)


@dataclass
class FixedClock:
    """A clock that stands still until somebody moves it: for tests and pictures."""

    moment: datetime

    def now(self) -> datetime:
        """The moment it was set to."""
        return self.moment
