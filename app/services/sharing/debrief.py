"""Coming home: what was expected of the days away, against what happened."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from sqlalchemy.orm import Session

from app.domain.calendar import day_start
from app.domain.entry_words import STOCK_WORDS
from app.domain.quantities import Quantity
from app.domain.records import StockEventKind
from app.domain.sitter import Packet, stay
from app.domain.snapshot import TankSnapshot
from app.domain.wording import count, range_text, value_text
from app.knowledge.model import Knowledge
from app.rules.living import living
from app.rules.ranges import range_shown
from app.services.ahead.closure import ReadAfter
from app.services.sharing import handing_over
from app.services.sharing.handing_over import Days

_DAY: Final = timedelta(days=1)
_LOSSES: Final = frozenset({StockEventKind.DIED, StockEventKind.MISSING})
NOT_READ: Final = "nobody read it"


@dataclass(frozen=True, slots=True)
class Compared:
    """One thing: what was expected, what happened, and whether that fits; None: can't tell."""

    what: str
    expected: str
    happened: str
    fits: bool | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Debrief:
    """What was expected and what happened; `questions` are what is still open."""

    first: date
    last: date
    lines: tuple[Compared, ...]
    questions: tuple[str, ...]


def debrief(
    session: Session,
    snapshot: TankSnapshot,
    days: Days,
    knowledge: Knowledge,
) -> Debrief:
    """Days that are over, held against what was expected on leaving.

    Raises:
        Refused: If the days cannot be.
    """
    handing_over.check_days(days, knowledge)
    found = handing_over.rehearsed(session, snapshot, days, knowledge)
    first, last = days.first, days.last
    lines = (
        *_visits(snapshot, first, last),
        *_packets(days.packets),
        _warmth(snapshot, first, last, knowledge),
        *(_read_after(each) for each in found.compared),
        _animals(snapshot, first, last),
    )
    return Debrief(
        first=first, last=last, lines=lines, questions=tuple(_questions(snapshot, last, lines))
    )


def _visits(snapshot: TankSnapshot, first: date, last: date) -> Iterator[Compared]:
    looked = {o.local_day for o in snapshot.observations if first <= o.local_day <= last}
    days = len(stay(first, last))
    expected, happened = (count(n, "day", "days") for n in (days, len(looked)))
    yield Compared("Days with a look", expected, happened, len(looked) == days)


def _packets(packets: tuple[Packet, ...]) -> Iterator[Compared]:
    if packets:
        given = sum(p.given for p in packets)
        left = count(len(packets) - given, "left", "left")
        all_of_them = count(len(packets), "packet", "packets")
        yield Compared("Packets", all_of_them, f"{given} ticked, {left}", given == len(packets))


def _warmth(snapshot: TankSnapshot, first: date, last: date, knowledge: Knowledge) -> Compared:
    quantity, site = Quantity.TEMPERATURE, snapshot.site
    shown = range_shown(snapshot.tank, living(snapshot, knowledge), quantity, knowledge)
    since, end = day_start(first, site.zone), day_start(last + _DAY, site.zone)
    read = [r.best for r in snapshot.between(quantity, since, end)]
    low, high = (None, None) if shown is None else (shown.low, shown.high)
    expected = "no range is settled"
    if low is not None and high is not None:
        expected = range_text(quantity, low, high, site)
    if not read:
        return Compared("Warmth", expected, NOT_READ, None)
    happened = value_text(quantity, read[0], site)
    if min(read) < max(read):
        happened = range_text(quantity, min(read), max(read), site)
    inside = (low is None or low <= min(read)) and (high is None or max(read) <= high)
    return Compared("Warmth", expected, happened, inside if shown else None)


def _read_after(each: ReadAfter) -> Compared:
    return Compared(f"{each.what}, on return", each.expected, each.measured or NOT_READ, each.fits)


def _animals(snapshot: TankSnapshot, first: date, last: date) -> Compared:
    lost = [e for e in snapshot.stock_events if e.what in _LOSSES and first <= e.local_day <= last]
    text = ", ".join(f"{e.count} {e.group_name} {STOCK_WORDS[e.what]}" for e in lost)
    return Compared("Losses", "none", text or "none written", not lost)


def _questions(snapshot: TankSnapshot, last: date, lines: tuple[Compared, ...]) -> Iterator[str]:
    counted = snapshot.last_counted
    if counted is None or counted.local_day <= last:
        yield "Are all animals there? Count them."
    for line in lines:
        if line.happened == NOT_READ:
            yield f"{line.what}: nobody read it. Can it still be measured?"
    for line in lines:
        if line.fits is False:
            yield f"{line.what}: {line.happened} instead of {line.expected}. What do you think why?"
    yield "What did the sitter wonder about? What shall the next paper say better?"
