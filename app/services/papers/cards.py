"""Two small cards: FED / NOT FED to turn over, and what a substitute does on one day."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Final

from app.domain.calendar import somebody_comes
from app.domain.entry_words import scoop_words
from app.domain.livestock import StockGroup
from app.domain.snapshot import TankSnapshot
from app.domain.wording import count
from app.knowledge.model import Knowledge
from app.services.papers.wall_chart import warmth_text

_MOST_NAMED: Final = 4


@dataclass(frozen=True, slots=True)
class FlipCard:
    """Both sides; `portion` in words."""

    portion: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SubstituteCard:
    """One day for somebody who does not know the tank; it holds no name of a person.

    `food` is "" on a day without food. `animals` are the largest groups with how many are
    expected, as pupils know them. `phone` is that of the grown-up in charge, or "".
    """

    day: date
    food: str
    nobody_comes: bool
    animals: tuple[str, ...]
    total: int
    warmth: str
    phone: str
    deputy_phone: str


def flip_card(snapshot: TankSnapshot) -> FlipCard:
    """The card for this tank's portion."""
    return FlipCard(flat_scoops(snapshot.tank.plan.portion_scoops))


def flat_scoops(scoops: float) -> str:
    """A portion for whoever never measured one: "1 flat scoop", "half a flat scoop"."""
    return scoop_words(scoops).replace("scoop", "flat scoop")


def substitute_card(snapshot: TankSnapshot, knowledge: Knowledge, day: date) -> SubstituteCard:
    """What is to be done on one day."""
    told = snapshot.for_pupils()
    tank = told.tank
    planned = day.weekday() in tank.plan.feed_weekdays
    here = somebody_comes(told.site, day)
    return SubstituteCard(
        day=day,
        food=flat_scoops(tank.plan.portion_scoops) if planned else "",
        nobody_comes=not here,
        animals=_kinds([g for g in told.groups if g.count]),
        total=told.expected_fish,
        warmth=warmth_text(told, knowledge),
        phone=tank.adult_phone,
        deputy_phone=tank.deputy_phone,
    )


def _kinds(groups: Sequence[StockGroup]) -> tuple[str, ...]:
    """The largest groups by name, as many as half a page has room for, and how many more."""
    ordered = sorted(groups, key=lambda g: -g.count)
    named = ordered if len(ordered) <= _MOST_NAMED else ordered[: _MOST_NAMED - 1]
    rest = sum(g.count for g in ordered[len(named) :])
    more = (f"{rest} others",) if rest else ()
    return (*(f"{g.count} {g.name}" for g in named), *more)


def food_words(card: SubstituteCard) -> str:
    """The first thing to do, as a sentence."""
    if not card.food:
        return "No food. That is planned, and right."
    return f"Feed {card.food}. Once only."


def count_words(card: SubstituteCard) -> str:
    """How many there are to count, as a sentence."""
    if not card.total:
        return "No animals live here now."
    return f"Look and count: {count(card.total, 'animal', 'animals')}. Small ones hide."
