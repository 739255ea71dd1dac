"""A sitter's stay: on which days food goes in, by numbered packets, and what a day says of them.

A packet belongs to its day. What was skipped stays in its bag: two meals at once foul the water
faster than a fast harms grown fish.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from app.domain.entry_words import scoop_words
from app.domain.wording import count, decimal, full_day, with_unit

_DAY = timedelta(days=1)


class Rhythm(StrEnum):
    """On which days of a stay food goes in."""

    EVERY_DAY = "every_day"
    PLAN = "plan"
    """On the weekdays of the tank's own plan."""
    SECOND = "second"
    """Every second day, from the second on: they were fed before the stay began."""
    CHOSEN = "chosen"


class Say(StrEnum):
    """What a day says of food."""

    GIVE = "give"
    NO_PACKET = "no_packet"
    DONE = "done"
    NO_FOOD = "no_food"


@dataclass(frozen=True, slots=True, kw_only=True)
class Packet:
    """A numbered packet for one day; `grams` is None while the scoop was never weighed.

    `given` tells whether it is ticked.
    """

    number: int
    day: date
    scoops: float | None
    grams: float | None
    given: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DayPlan:
    """What one day of a stay says: `number` and `of` count days, `text` is one line for it.

    `packet` is the one to give, None where none is given. `one_only`: a packet of an earlier day
    was not ticked, and stays where it is.
    """

    number: int
    of: int
    say: Say
    text: str
    packet: Packet | None = None
    one_only: bool = False


def feeding_days(
    first: date,
    last: date,
    rhythm: Rhythm,
    *,
    weekdays: Collection[int] = (),
    chosen: Collection[int] = (),
) -> tuple[date, ...]:
    """The days of a stay on which food goes in.

    `weekdays` are those of the tank's plan, from Monday = 0; `chosen` counts days of the stay
    from 1.
    """
    days = stay(first, last)
    match rhythm:
        case Rhythm.EVERY_DAY:
            return days
        case Rhythm.PLAN:
            return tuple(day for day in days if day.weekday() in weekdays)
        case Rhythm.SECOND:
            return days[1::2]
        case Rhythm.CHOSEN:
            return tuple(day for n, day in enumerate(days, 1) if n in chosen)


def stay(first: date, last: date) -> tuple[date, ...]:
    """All days from the first to the last, both included."""
    return tuple(first + _DAY * n for n in range((last - first).days + 1))


def packets_for(
    days: Sequence[date], scoops: float, scoop_grams: float | None
) -> tuple[Packet, ...]:
    """One packet for each feeding day, numbered from 1."""
    grams = None if scoop_grams is None else scoops * scoop_grams
    return tuple(
        Packet(number=n, day=day, scoops=scoops, grams=grams) for n, day in enumerate(days, 1)
    )


def total_grams(packets: Sequence[Packet]) -> float | None:
    """The food of all packets; None where the scoop was not weighed."""
    grams = [p.grams for p in packets if p.grams is not None]
    return sum(grams) if len(grams) == len(packets) and packets else None


def amount_text(packet: Packet) -> str:
    """How much is in a packet: "1 scoop, 0.12 g"."""
    grams = None if packet.grams is None else with_unit(decimal(packet.grams, 2), "g")
    return ", ".join(part for part in (scoop_words(packet.scoops), grams) if part)


def packets_text(packets: Sequence[Packet]) -> str:
    """All packets of a stay: "7 packets of 1 scoop, 0.12 g"."""
    if not packets:
        return "no food"
    return f"{count(len(packets), 'packet', 'packets')} of {amount_text(packets[0])}"


def day_plan(
    first: date,
    last: date,
    packets: Sequence[Packet],
    day: date,
    *,
    fed: bool = False,
    against: str = "",
) -> DayPlan:
    """What a day of a stay says.

    Args:
        first: The first day of the stay.
        last: Its last day.
        packets: Its packets in order.
        day: The tank's local day.
        fed: Whether a meal is written for this day already, by packet or otherwise.
        against: Why the tank speaks against food on this day, or "".
    """
    number, of = (day - first).days + 1, (last - first).days + 1
    mine = next((p for p in packets if p.day == day), None)
    left = any(p.day < day and not p.given for p in packets)

    def says(say: Say, text: str, packet: Packet | None = None) -> DayPlan:
        only = left and say is Say.GIVE
        return DayPlan(number=number, of=of, say=say, text=text, packet=packet, one_only=only)

    if mine is not None and mine.given:
        return says(Say.DONE, used_text(mine))
    if fed:
        return says(Say.DONE, "Food went in already. No packet today.")
    if mine is None:
        return says(Say.NO_PACKET, "No packet today. Look only.")
    if against:
        return says(Say.NO_FOOD, f"No packet today: {against}.")
    return says(Say.GIVE, f"Give packet {mine.number}.", mine)


def used_text(packet: Packet) -> str:
    """What is said when a packet is to be ticked a second time."""
    return f"Packet {packet.number} is already ticked. Skip today."


def label_text(packet: Packet) -> str:
    """What stands on a packet, beside its number."""
    return f"{full_day(packet.day)}: {amount_text(packet)}"
