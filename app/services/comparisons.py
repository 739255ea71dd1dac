"""Kits and thermometers held against something known: kept, shown, and taken together.

A comparison never changes a reading. It says how far off a kit was, and the rules take the
readings beside one that was too far off as doubtful (`rules.kit_offset`).
"""

import statistics
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.errors import Refused
from app.domain.kit import Kit, KitComparison, comparable, shown_unit
from app.domain.quantities import FACTS, FAHRENHEIT, Quantity, Unit
from app.domain.tank import Site
from app.domain.wording import count, number, short, with_unit
from app.knowledge.load import load
from app.rules.kit_offset import is_off, offset_limit
from app.rules.model import LimitShown
from app.services.kits import changed
from app.services.names import optional
from app.services.transaction import finish
from app.storage.models.kit import KitComparison as ComparisonRow
from app.storage.queries import kits as queries

SAME_POST: Final = timedelta(minutes=10)
ICE_WATER: Final = "ice water"


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparisonDraft:
    """A kit held against something known, in the kept unit of its quantity.

    A `next_check_on` is written on the kit as well.
    """

    known: float
    read: float
    against: str = ""
    next_check_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparisonLine:
    """One comparison in the unit of the site; `off` when it was further off than it may be."""

    id: int
    on: date
    against: str
    known: str
    read: str
    difference: str
    off: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparisonSheet:
    """All comparisons of a kit, the newest first, their mean in words, and the limit."""

    lines: tuple[ComparisonLine, ...]
    mean: str
    limit: LimitShown


def compare_kit(session: Session, kit_id: int, draft: ComparisonDraft, *, now: datetime) -> int:
    """Keep what a kit showed of something known; returns the comparison's id.

    A form may come twice: the same values of the same kit within ten minutes are one comparison.

    Raises:
        NotFound: If there is no such kit.
        Refused: If a value cannot be one of its quantity.
    """
    kit = changed(session, kit_id)
    low, high = comparable(Quantity(kit.quantity))
    if not (low <= draft.known <= high and low <= draft.read <= high):
        raise Refused(f"Both values lie between {low:g} and {high:g}. Look at them again.")
    against = optional(draft.against)
    row = session.scalar(
        select(ComparisonRow).where(
            ComparisonRow.kit_id == kit_id,
            ComparisonRow.at > now - SAME_POST,
            ComparisonRow.known == draft.known,
            ComparisonRow.read == draft.read,
            ComparisonRow.against == against,
        )
    )
    if row is None:
        row = ComparisonRow(
            kit_id=kit_id, at=now, known=draft.known, read=draft.read, against=against
        )
        session.add(row)
    if draft.next_check_on is not None:
        kit.next_check_on = draft.next_check_on
    session.flush()
    finish(session)
    return row.id


def comparisons(session: Session, kit_id: int) -> tuple[KitComparison, ...]:
    """The comparisons of one kit, the newest first."""
    found = (c for shelf in queries.shelves(session).values() for c in shelf.comparisons)
    return tuple(reversed([c for c in found if c.kit_id == kit_id]))


def remove_comparison(session: Session, kit_id: int, comparison_id: int) -> None:
    """Strike a comparison of a kit that was written by mistake.

    Raises:
        NotFound: If there is no such kit.
    """
    changed(session, kit_id)
    session.execute(
        delete(ComparisonRow).where(
            ComparisonRow.id == comparison_id, ComparisonRow.kit_id == kit_id
        )
    )
    finish(session)


def sheet(kit: Kit, made: Sequence[KitComparison], site: Site) -> ComparisonSheet:
    """What the comparisons of a kit say, in the unit in which the site reads it."""
    unit, knowledge = shown_unit(kit, site), load()
    decimals = FACTS[kit.quantity].decimals + 1  # a comparison is read as finely as can be
    lines = tuple(
        ComparisonLine(
            id=c.id,
            on=local_day(c.at, site.zone),
            against=c.against,
            known=_text(unit.from_kept(c.known), unit, decimals),
            read=_text(unit.from_kept(c.read), unit, decimals),
            difference=_apart(c.offset_in(unit), unit, decimals),
            off=is_off(kit, c, knowledge),
        )
        for c in made
    )
    mean = mean_words([c.offset_in(unit) for c in made], unit, decimals)
    return ComparisonSheet(lines=lines, mean=mean, limit=offset_limit(kit, knowledge))


def mean_words(offsets: Sequence[float], unit: Unit, decimals: int) -> str:
    """The mean of what a kit read too high (or, below 0, too low), with its range and number.

    Args:
        offsets: What it read too high each time, in `unit`.
        unit: The unit to say it in.
        decimals: With at most so many decimals.
    """
    if not offsets:
        return ""
    if len(offsets) == 1:
        return f"This kit read {_apart(offsets[0], unit, decimals)} in one comparison."
    mean = _apart(statistics.fmean(offsets), unit, decimals)
    low, high = (_apart(end(offsets), unit, decimals) for end in (min, max))
    times = count(len(offsets), "comparison", "comparisons")
    if low == high:
        return f"This kit read {mean} in each of {times}."
    return f"This kit read on average {mean} in {times}: from {low} to {high}."


def next_check_day(today: date) -> date:
    """When a comparison that is made now has had its time, and the next one is due."""
    return today + timedelta(days=load().value("kit.check-days"))


def ice_water_celsius() -> float:
    """What a thermometer shows in melting ice, in °C."""
    return load().value("kit.ice-water")


def ice_water_words() -> str:
    """The same on both scales: "0 °C (32 °F)"."""
    celsius = ice_water_celsius()
    fahrenheit = short(FAHRENHEIT.from_kept(celsius))
    return f"{with_unit(short(celsius), '°C')} ({with_unit(fahrenheit, '°F')})"


def _text(shown: float, unit: Unit, decimals: int) -> str:
    return with_unit(number(shown, decimals), f"{unit.symbol} {unit.basis}".strip())


def _apart(offset: float, unit: Unit, decimals: int) -> str:
    """An offset in words: "0.3 °C too high", "the same"."""
    if number(offset, decimals) == "0":
        return "the same"
    return f"{_text(abs(offset), unit, decimals)} too {'high' if offset > 0 else 'low'}"
