"""What a sitter sees of a tank, on the screen and on the one page of paper."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from sqlalchemy.orm import Session

from app.domain.guard import NewReading
from app.domain.livestock import StockGroup
from app.domain.quantities import Quantity
from app.domain.sitter import Packet, packets_text, stay
from app.domain.snapshot import TankSnapshot
from app.domain.tank import Tank
from app.domain.wording import count, dated, degrees, full_day, length_text, range_text
from app.knowledge.model import Knowledge
from app.rules.living import living
from app.rules.ranges import RangeShown, range_shown
from app.services.measures import Drawing, drawn
from app.services.papers import texts as paper_texts
from app.services.sharing import sitter
from app.services.sharing.links import Link
from app.services.sharing.sitter_usual import FEEDING, SOUND, usual

LONGEST_TEXT: Final = 160
"""So many letters of each text fit on the one page of paper."""
TANK_TEXTS: Final[Mapping[str, str]] = {
    "packets": "Packets",
    "towels": "Towels and bucket",
    "outlet": "Outlet and breaker",
    "water": "Water shut-off",
    "alone": "Please leave alone",
    "office": "Office or neighbor, with phone",
    "vet": "Veterinarian, with phone",
    FEEDING: "What they do at feeding",
    SOUND: "How the filter usually sounds",
}
"""What may be written of one tank for its papers: its name, and what stands before it."""
LEAVE_ALONE: Final = "The filter, the plants, the light timer, the tin of food."
ONLY_PACKETS: Final = "Nothing goes into the water but the packet. Close the lid after."
LEAVE_ALONE_BUT_FOOD: Final = "The filter, the plants, the light timer."
ONLY_FOOD: Final = "Nothing goes into the water but the food of the day. Close the lid after."
_BANDS: Final = {
    "surface": "near the surface",
    "middle": "in the middle",
    "bottom": "on the bottom",
}
# so many kinds of animals fit on the one page
_MOST_KINDS: Final = 10


# digits as people write them: with spaces, dashes, brackets, a plus in front
_NUMBER: Final = re.compile(r"\+?\d[\d ()/.-]{1,}\d")


@dataclass(frozen=True, slots=True)
class Phone:
    """Whom to call: who it is, the name and the number as they were written."""

    who: str
    text: str

    @property
    def dial(self) -> str:
        """The number as a telephone takes it, or "" where no number stands in the text."""
        found = _NUMBER.search(self.text)
        return re.sub(r"[^\d+]", "", found[0]) if found else ""


@dataclass(frozen=True, slots=True)
class DayRow:
    """One day of the sheet: its number, the day, and the packet to give or None."""

    number: int
    day: date
    packet: Packet | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Around:
    """What holds on every visit: looks to take, what looks usual, whom to call, where things are.

    `not_written` names the places that paper leaves room for.
    """

    checks: tuple[str, ...]
    usual: tuple[str, ...]
    leave_alone: str
    phones: tuple[Phone, ...]
    places: tuple[tuple[str, str], ...]
    not_written: tuple[str, ...]
    drawing: Drawing | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """The paper of one stay."""

    tank: str
    site: str
    span: str
    packets: tuple[Packet, ...]
    rows: tuple[DayRow, ...]
    around: Around


def sheet(session: Session, link: Link, snapshot: TankSnapshot, knowledge: Knowledge) -> Sheet:
    """The sheet for a sitter's link; animals as pupils know them."""
    first, last = sitter.days_of(link)
    packets = sitter.packets_of(session, link.id)
    by_day = {p.day: p for p in packets}
    days = stay(first, last)
    of = f"{count(len(days), 'day', 'days')} · {packets_text(packets)}"
    return Sheet(
        tank=snapshot.tank.name,
        site=snapshot.site.name,
        span=f"{full_day(first)} to {dated(last)} · {of}",
        packets=packets,
        rows=tuple(DayRow(n, day, by_day.get(day)) for n, day in enumerate(days, 1)),
        around=around(session, snapshot, knowledge, "sheet"),
    )


def around(
    session: Session,
    snapshot: TankSnapshot,
    knowledge: Knowledge,
    drawing_id: str,
    *,
    from_packets: bool = True,
) -> Around:
    """What holds on every visit to a tank; animals as pupils know them.

    Without packets the food is scooped out of the tin.
    """
    told = snapshot.for_pupils()
    texts = paper_texts.of_tank(session, told.tank.id)
    drawing = drawn(told.tank, told.groups, knowledge, drawing_id)
    places = ("packets", "towels", "outlet", "water")
    alone, only = (LEAVE_ALONE, ONLY_PACKETS) if from_packets else (LEAVE_ALONE_BUT_FOOD, ONLY_FOOD)
    return Around(
        checks=checks(told, knowledge, () if drawing is None else drawing.legend),
        usual=usual(told, knowledge, texts),
        leave_alone=f"{_ended(texts.get('alone') or alone)} {only}",
        phones=phones(told.tank, texts),
        places=tuple((TANK_TEXTS[name], texts[name]) for name in places if name in texts),
        not_written=tuple(TANK_TEXTS[name] for name in places if name not in texts),
        drawing=drawing,
    )


def checks(
    snapshot: TankSnapshot, knowledge: Knowledge, legend: Sequence[tuple[str, str]] = ()
) -> tuple[str, ...]:
    """The looks of a visit, from this tank's own ranges and animals.

    `legend` is that of the drawing beside them: its letters stand with the animals.
    """
    found = [_warmth(snapshot, knowledge), _level(snapshot)]
    found.append("Does the filter move the water? Is the light of the plug on?")
    if animals := _animals([g for g in snapshot.groups if g.count > 0], legend):
        found.append(f"Count: {animals}. Small fish hide.")
    return (*found, "Is one lying on its side, gasping, or hurt?")


def is_outside(
    readings: Sequence[NewReading], snapshot: TankSnapshot, knowledge: Knowledge
) -> bool:
    """Whether the water of a visit is warmer or colder than the range that the looks name."""
    shown = _range(snapshot, knowledge)
    if shown is None:
        return False
    low = float("-inf") if shown.low is None else shown.low
    high = float("inf") if shown.high is None else shown.high
    return any(
        r.quantity is Quantity.TEMPERATURE and r.value is not None and not low <= r.value <= high
        for r in readings
    )


def limits_text(snapshot: TankSnapshot, knowledge: Knowledge) -> str:
    """From where on the water is too warm or too cold, by the same range; "" without one."""
    shown, site = _range(snapshot, knowledge), snapshot.site
    if shown is None:
        return ""
    ends = (("Too warm is over", shown.high), ("Too cold is under", shown.low))
    return " ".join(f"{side} {degrees(site, end)}." for side, end in ends if end is not None)


def _range(snapshot: TankSnapshot, knowledge: Knowledge) -> RangeShown | None:
    animals = living(snapshot, knowledge)
    return range_shown(snapshot.tank, animals, Quantity.TEMPERATURE, knowledge)


def _warmth(snapshot: TankSnapshot, knowledge: Knowledge) -> str:
    quantity, site = Quantity.TEMPERATURE, snapshot.site
    shown = _range(snapshot, knowledge)
    if shown is None or (shown.low is None and shown.high is None):
        return "Read the thermometer."
    if shown.low is None or shown.high is None:
        end = shown.high if shown.low is None else shown.low
        side = "under" if shown.low is None else "over"
        return f"Is the thermometer {side} {degrees(site, end or 0.0)}?"
    between = range_text(quantity, shown.low, shown.high, site).replace(" to ", " and ")
    return f"Is the thermometer between {between}?"


def _level(snapshot: TankSnapshot) -> str:
    shape = snapshot.tank.shape
    over_mm = shape.over_heater_line_mm if snapshot.tank.has_heater else None
    if over_mm is None:
        return "Is the water close to its usual line?"
    below = length_text(snapshot.site, over_mm / 10.0)
    return f"Is the water above the heater line, {below} under the water line?"


def _animals(groups: Sequence[StockGroup], legend: Sequence[tuple[str, str]]) -> str:
    lines = [f"{g.count} {g.name}, {_BANDS[g.band]}" for g in groups]
    if len(legend) == len(groups):
        lines = [f"{letter} {words}" for letter, words in legend]
    more = len(lines) - _MOST_KINDS
    return "; ".join(lines[:_MOST_KINDS]) + (f"; and {more} more kinds" if more > 0 else "")


def phones(tank: Tank, texts: Mapping[str, str]) -> tuple[Phone, ...]:
    """Whom to call, in this order; who has no number is left out."""
    found = (
        ("Grown-up in charge", _named(tank.adult, tank.adult_phone)),
        ("Deputy", _named(tank.deputy, tank.deputy_phone)),
        ("Office or neighbor", texts.get("office", "")),
        ("Veterinarian", texts.get("vet", "")),
    )
    return tuple(Phone(who, text) for who, text in found if text)


def _named(name: str, phone: str) -> str:
    return f"{name}, {phone}".strip(", ") if phone else ""


def _ended(text: str) -> str:
    """A text with its full stop."""
    return text if text.endswith((".", "!", "?")) else f"{text}."
