"""The data health note: how whole the readings of some days are, before they are trusted."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date
from itertools import pairwise
from statistics import median
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from app.domain.calendar import local_day
from app.domain.quantities import FACTS, Quantity
from app.domain.records import EntryKind, EntryStatus
from app.domain.wording import count, listed, short
from app.knowledge.load import load
from app.services.csv_text import csv_cell, csv_line
from app.services.entries import zone_of
from app.services.exchange.stretch import Stretch
from app.services.story import ADDED_LATER
from app.storage.models.entry import Entry
from app.storage.models.kit import Kit
from app.storage.models.water import Reading

COLUMNS = (
    "quantity", "first_day", "last_day", "days", "days_with_a_reading", "readings",
    "added_later", "corrected", "withdrawn", "without_upper_end", "from_loggers",
    "gaps", "longest_gap_days", "card_steps",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class HealthNote:
    """How whole the readings of one quantity are.

    `days` counts from the first reading in force to the last, both included; `gaps` are
    stretches without a reading that are longer than usual, `longest_gap` is in days; `corrected`
    and `withdrawn` count readings in the file that count no more. `steps` are the
    distances between colors of the cards that were used, in their own units.
    """

    quantity: Quantity
    first: date
    last: date
    days: int
    days_with: int
    readings: int
    added_later: int
    corrected: int
    withdrawn: int
    open_ended: int
    from_loggers: int
    gaps: int
    longest_gap: int
    steps: tuple[str, ...]

    @property
    def text(self) -> str:
        """In one line: "31 days, 24 readings on 20 days, 2 corrected, card steps of 10 mg/L"."""
        readings = count(self.readings, "reading", "readings")
        on_days = count(self.days_with, "day", "days")
        parts = [count(self.days, "day", "days"), f"{readings} on {on_days}"]
        for number, words in (
            (self.from_loggers, "from loggers"),
            (self.added_later, "added later"),
            (self.corrected, "corrected"),
            (self.withdrawn, "taken back"),
            (self.open_ended, "without an upper end"),
        ):
            if number:
                parts.append(f"{number} {words}")
        if self.gaps:
            longest = count(self.longest_gap, "day", "days")
            parts.append(f"{count(self.gaps, 'gap', 'gaps')}, the longest {longest}")
        if self.steps:
            parts.append(f"card steps of {listed(self.steps)}")
        return ", ".join(parts)

    @property
    def label(self) -> str:
        """The name of the quantity."""
        return FACTS[self.quantity].label


@dataclass
class _Tally:
    days: set[date] = field(default_factory=set)
    readings: int = 0
    later: int = 0
    corrected: int = 0
    withdrawn: int = 0
    open_ended: int = 0
    from_loggers: int = 0
    steps: set[str] = field(default_factory=set)


def usual_days() -> int:
    """How many days back a note goes unless other days are asked for."""
    return int(load().value("sharing.health-days"))


def notes(session: Session, tank_id: int, stretch: Stretch) -> tuple[HealthNote, ...]:
    """A note for each quantity that was read in these days, in their usual order.

    Raises:
        NotFound: If there is no such tank.
    """
    zone = zone_of(session, tank_id)
    tallies: dict[Quantity, _Tally] = {}
    for row in session.execute(_query(tank_id, stretch).execution_options(yield_per=2000)):
        _count(tallies.setdefault(Quantity(row.quantity), _Tally()), row, zone)
    return tuple(
        _note(quantity, tallies[quantity])
        for quantity in Quantity
        if quantity in tallies and tallies[quantity].days
    )


def _query(tank_id: int, stretch: Stretch) -> Any:
    query = (
        select(
            Reading.quantity, Reading.at, Reading.in_force, Reading.low, Reading.high,
            Reading.typed, Reading.unit, Entry.status, Entry.kind, Entry.recorded_at, Kit.steps,
        )
        .join(Entry, Entry.id == Reading.entry_id)
        .outerjoin(Kit, Kit.id == Reading.kit_id)
        .where(Reading.tank_id == tank_id)
    )  # fmt: skip
    return stretch.of(query)


def _count(tally: _Tally, row: Any, zone: str) -> None:
    if row.status == EntryStatus.CORRECTED.value:
        tally.corrected += 1
    elif row.status == EntryStatus.WITHDRAWN.value:
        tally.withdrawn += 1
    if not row.in_force:
        return
    tally.readings += 1
    tally.days.add(local_day(row.at, zone))
    if row.kind == EntryKind.LOGGER.value:
        tally.from_loggers += 1
    elif row.recorded_at - row.at > ADDED_LATER:
        tally.later += 1
    if row.low is not None:
        tally.open_ended += row.high is None
        step = step_size(row.steps or "", row.typed)
        if step is not None:
            tally.steps.add(f"{short(step)} {row.unit}".strip())


def step_size(steps: str, typed: str) -> float | None:
    """The wider of the two steps beside the color that was chosen; None for no color of a card."""
    try:
        colors = [float(step) for step in steps.split()]
        at = colors.index(float(typed))
    except ValueError:
        return None
    beside = [abs(colors[i] - colors[at]) for i in (at - 1, at + 1) if 0 <= i < len(colors)]
    return max(beside, default=None)


def _note(quantity: Quantity, tally: _Tally) -> HealthNote:
    days = sorted(tally.days)
    without = [(b - a).days - 1 for a, b in pairwise(days)]
    gaps = _gaps(without)
    return HealthNote(
        quantity=quantity,
        first=days[0],
        last=days[-1],
        days=(days[-1] - days[0]).days + 1,
        days_with=len(days),
        readings=tally.readings,
        added_later=tally.later,
        corrected=tally.corrected,
        withdrawn=tally.withdrawn,
        open_ended=tally.open_ended,
        from_loggers=tally.from_loggers,
        gaps=len(gaps),
        longest_gap=max(gaps, default=0),
        steps=tuple(sorted(tally.steps)),
    )


def _gaps(without: Sequence[int]) -> list[int]:
    """Of the days between one reading and the next, those that are out of the usual."""
    if not without:
        return []
    numbers = load()
    least = max(
        numbers.value("lesson.gap-days"), numbers.value("sharing.gap-times") * median(without)
    )
    return [length for length in without if length >= least]


def notes_csv(found: Iterable[HealthNote]) -> Iterator[str]:
    """The notes as a CSV: the headings, then a row a quantity."""
    yield csv_line(COLUMNS)
    for note in found:
        values = (
            note.quantity.value, note.first, note.last, note.days, note.days_with, note.readings,
            note.added_later, note.corrected, note.withdrawn, note.open_ended, note.from_loggers,
            note.gaps, note.longest_gap, "; ".join(note.steps),
        )  # fmt: skip
        yield csv_line([csv_cell(value) for value in values])
