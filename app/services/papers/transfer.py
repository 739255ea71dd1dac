"""The transfer note: which animals go to a new keeper, and the water they are used to."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Final

from app.domain.calendar import local_day
from app.domain.entry_words import scoop_words
from app.domain.quantities import FACTS, Quantity
from app.domain.snapshot import TankSnapshot
from app.domain.wording import (
    count,
    dated,
    length_text,
    range_text,
    reading_text,
    value_text,
)
from app.services.equipment import KIND_WORDS

DAYS: Final = 35
_WATER: Final = (
    Quantity.TEMPERATURE,
    Quantity.PH,
    Quantity.GH,
    Quantity.KH,
    Quantity.NITRATE,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class GoingGroup:
    """Animals of one kind: how many live here, and how many go."""

    id: int
    name: str
    species: str
    here: int
    going: int
    size: str


@dataclass(frozen=True, slots=True)
class WaterLine:
    """What a quantity was in the last weeks; `text` is "" where nobody measured it."""

    label: str
    text: str
    since: str


@dataclass(frozen=True, slots=True)
class Piece:
    """A thing that may go along."""

    id: int
    text: str
    going: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TransferNote:
    """The note; nothing of it is kept, and the animals leave the record on its own page."""

    groups: tuple[GoingGroup, ...]
    water: tuple[WaterLine, ...]
    pieces: tuple[Piece, ...]
    food: str
    signs: int

    @property
    def total(self) -> int:
        """How many animals go."""
        return sum(group.going for group in self.groups)


def transfer_note(
    snapshot: TankSnapshot, going: Mapping[int, int], pieces: frozenset[int]
) -> TransferNote:
    """The note for these animals by group and these pieces of equipment by id.

    A group that `going` does not name goes whole; never more go than are here.
    """
    return TransferNote(
        groups=tuple(
            GoingGroup(
                id=g.id,
                name=g.name,
                species=g.species,
                here=g.count,
                going=max(0, min(going.get(g.id, g.count), g.count)),
                size=length_text(snapshot.site, g.length_cm) if g.length_cm else "",
            )
            for g in snapshot.groups
            if g.count
        ),
        water=tuple(_line(snapshot, quantity) for quantity in _WATER),
        pieces=tuple(
            Piece(e.id, f"{e.name} ({KIND_WORDS[e.kind].lower()})", e.id in pieces)
            for e in snapshot.equipment
        ),
        food=_food(snapshot),
        signs=sum(1 for look in snapshot.observations if look.signs),
    )


def _food(snapshot: TankSnapshot) -> str:
    plan = snapshot.tank.plan
    days = count(len(plan.feed_weekdays), "day", "days")
    return f"{scoop_words(plan.portion_scoops)} on {days} of the week"


def _line(snapshot: TankSnapshot, quantity: Quantity) -> WaterLine:
    label, site = FACTS[quantity].label, snapshot.site
    readings = snapshot.of(quantity)
    recent = [r for r in readings if r.at >= snapshot.as_of - timedelta(days=DAYS)]
    if not recent:
        last = snapshot.latest(quantity)
        if last is None:
            return WaterLine(label, "", "")
        day = dated(local_day(last.at, site.zone))
        return WaterLine(label, reading_text(last, site), f"read once, on {day}")
    low, tops = min(r.least for r in recent), [r.most for r in recent]
    since = f"{count(len(recent), 'reading', 'readings')} in {DAYS} days"
    highs = [most for most in tops if most is not None]
    if len(highs) < len(tops):
        return WaterLine(label, f"{value_text(quantity, low, site)} or more", since)
    if max(highs) == low:
        return WaterLine(label, value_text(quantity, low, site), since)
    return WaterLine(label, range_text(quantity, low, max(highs), site), since)
