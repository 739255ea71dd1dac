"""What tanks shared, and where something could have been carried from one to the next.

A thing that is shared carries what is in the water of one tank into another: forward from the
tank it came from, both ways where it was used in both. Paths respect time by whole days: within
one day the order is not relied on, because entries are often typed later than the work was done.
"""

from collections import defaultdict, deque
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class Shared(StrEnum):
    """What tanks can share."""

    WATER = "water"
    NET = "net"
    FISH = "fish"
    PLANTS = "plants"
    EQUIPMENT = "equipment"


class Way(StrEnum):
    """Whether it came from the other tank, or was used in both."""

    FROM = "from"
    ALSO = "also"


@dataclass(frozen=True, slots=True, order=True)
class Sharing:
    """What an entry says of another tank: something came from there, or was also used there."""

    other_tank_id: int
    what: Shared
    way: Way


@dataclass(frozen=True, slots=True)
class Contact:
    """Two tanks that shared something on a day; without `both_ways` only `second` received.

    `entry_id` is the entry that says so.
    """

    day: date
    first: int
    second: int
    what: Shared
    both_ways: bool
    entry_id: int


@dataclass(frozen=True, slots=True)
class Reached:
    """A tank that something could have come to, on its first possible day.

    `chain` are the contacts on the way, oldest first; empty for where it began.
    """

    tank_id: int
    day: date
    chain: tuple[Contact, ...] = ()


def reached(sources: Mapping[int, date], contacts: Iterable[Contact]) -> dict[int, Reached]:
    """Every tank that could have got what the sources hold, with the shortest way on that day.

    Args:
        sources: Tanks, each with the first day on which it could pass something on.
        contacts: What was shared, in any order; what lies before a source's day carries nothing.

    Returns:
        The sources and all that lie behind them; a chain never goes back in time.
    """
    by_day: dict[date, list[Contact]] = defaultdict(list)
    for contact in contacts:
        by_day[contact.day].append(contact)
    found: dict[int, Reached] = {}
    for day in sorted({*by_day, *sources.values()}):
        for tank_id, since in sources.items():
            if since == day and tank_id not in found:
                found[tank_id] = Reached(tank_id, day)
        _spread(day, by_day.get(day, ()), found)
    return found


def _spread(day: date, contacts: Sequence[Contact], found: dict[int, Reached]) -> None:
    """Carry on through all contacts of one day, the fewest steps first."""
    ways: dict[int, list[tuple[int, Contact]]] = defaultdict(list)
    for contact in sorted(contacts, key=lambda c: (c.entry_id, c.first, c.second, c.what)):
        ways[contact.first].append((contact.second, contact))
        if contact.both_ways:
            ways[contact.second].append((contact.first, contact))
    waiting = deque(tank_id for tank_id in found if tank_id in ways)
    while waiting:
        here = waiting.popleft()
        for there, contact in ways[here]:
            if there not in found:
                found[there] = Reached(there, day, (*found[here].chain, contact))
                waiting.append(there)
