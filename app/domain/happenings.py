"""What came before a problem, and how often the same came before without one."""

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum


class Happening(StrEnum):
    """A kind of event that may matter; the value is its title."""

    UNTREATED = "Tap water without conditioner"
    OTHER_WARMTH = "New water of another warmth"
    LARGE_CHANGE = "A large water change"
    POWER = "Power, filter or heater off"
    TREATMENT = "A treatment"
    ARRIVAL = "New animals"
    MEDIA = "Filter media replaced"
    FILTER = "Filter cleaned"
    FOOD = "Two meals or more on a day"
    NO_LOOK = "Days without a look"
    NO_CHANGE = "A planned water change that nobody wrote"
    EQUIPMENT = "Other equipment"
    LIGHT = "Light timer changed"
    KIT = "A new test kit"
    PLANTS = "Plants put in, trimmed or taken out"
    SAND = "Sand siphoned"
    CHANGE = "A water change"


@dataclass(frozen=True, slots=True)
class Event:
    """One event; `entry_id` None where no single entry tells of it."""

    kind: Happening
    at: datetime
    words: str
    entry_id: int | None = None


@dataclass(frozen=True, slots=True)
class Problem:
    """A sign, a loss, or a finding that asks to act."""

    at: datetime
    words: str
    entry_id: int | None = None


@dataclass(frozen=True, slots=True)
class Lead:
    """What came before a problem, of one kind: it came before, which is not why.

    `earlier` counts the same kind before these days, `calm` those after which no problem was
    written for as many days.
    """

    kind: Happening
    events: tuple[Event, ...]
    earlier: int
    calm: int


def leads(
    events: Sequence[Event], problems: Sequence[Problem], moment: datetime, span: timedelta
) -> tuple[Lead, ...]:
    """What came in the days before a moment, the kind that was calm least often first.

    Args:
        events: Of the whole record, in any order.
        problems: Of the whole record, in any order.
        moment: When the problem was seen.
        span: How far to look back, and how long after an earlier event a problem counts.

    Returns:
        One lead for each kind that came; within one its events ascend in time.
    """
    troubled = sorted(problem.at for problem in problems)
    start = moment - span
    found = []
    for kind in Happening:
        same = sorted((e for e in events if e.kind is kind), key=lambda event: event.at)
        times = [event.at for event in same]
        first, end = bisect_left(times, start), bisect_right(times, moment)
        if first == end:
            continue
        calm = sum(not _followed(at, troubled, span) for at in times[:first])
        found.append(Lead(kind, tuple(same[first:end]), first, calm))
    return tuple(sorted(found, key=_place))


def _followed(at: datetime, troubled: Sequence[datetime], span: timedelta) -> bool:
    return bisect_right(troubled, at + span) > bisect_right(troubled, at)


def _place(lead: Lead) -> float:
    """A kind that never came before stands first, one that was always calm last."""
    return lead.calm / lead.earlier if lead.earlier else -1.0
