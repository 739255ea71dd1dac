"""Rows of a keeper's own table becoming what was done and measured: read, asked about, or refused.

Pure and streamed: what a row says is handed on at once, and only what has to be told of the whole
file is kept.
"""

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time
from typing import Final, NamedTuple

from app.domain.drafts import (
    NewJob,
    NewLook,
    NewMeal,
    NewNote,
    NewTest,
)
from app.domain.errors import Refused
from app.domain.guard import (
    Impossible,
    NewReading,
    Taken,
    Unusual,
    check,
    may_surprise,
    number_from,
)
from app.domain.logger_file import CLOCK_SLIP
from app.domain.logger_table import LONGEST_CELL, Row
from app.domain.quantities import Quantity, Unit
from app.domain.sheet_cells import (
    NO,
    NOT_WRITTEN,
    BadCell,
    change_of,
    look_of,
    meal_of,
    note_of,
    refuse_thousands,
    text_of,
)
from app.domain.sheet_columns import MEANINGS, Holds, Meaning
from app.domain.sheet_file import MOST_ROWS, Sheet
from app.domain.sheet_times import WallClock, day_first_of

MOST_TOLD: Final = 100
"""So many refused rows, and so many doubts, are kept with their words."""
_USUAL: Final = 8
_MOST_REMEMBERED: Final = 20_000

Draft = NewMeal | NewTest | NewJob | NewLook | NewNote


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetChoice:
    """How the file is to be read.

    `columns` holds the key of a meaning for each column. `day_first` says how 4/5/2027 is meant;
    None as long as nobody said. `noon` is the time of rows that have only a date. `by_device`: a
    device took the readings, and nobody was there. `net_l` is the water in the tank, for changes
    in percent; `last_day` the day on which the tank was closed.
    """

    columns: tuple[str, ...]
    zone: str
    day_first: bool | None = None
    noon: time = time(12)
    by_device: bool = False
    net_l: float | None = None
    last_day: date | None = None


class Item(NamedTuple):
    """One thing that a row says: what it is, what was measured, when, and in which line."""

    line: int
    at: datetime
    day: date
    draft: Draft
    readings: tuple[NewReading, ...] = ()


@dataclass(frozen=True, slots=True)
class Told:
    """Something to tell about a cell: refused with a reason, or asked about."""

    line: int
    column: str
    words: str


@dataclass(slots=True, kw_only=True)
class Tally:
    """What there is to tell of the rows read so far."""

    rows: int = 0
    blanks: int = 0
    refused: list[Told] = field(default_factory=list)
    refused_count: int = 0
    unusual: list[Told] = field(default_factory=list)
    unusual_count: int = 0


def problems(choice: SheetChoice) -> Iterator[str]:
    """What is wrong with a choice of columns, in sentences."""
    chosen = [MEANINGS[key] for key in choice.columns if key]
    names = [meaning.only_once for meaning in chosen]
    if Holds.DATE.value not in names:
        yield "Choose the column that holds the date."
    if not set(names) - {Holds.DATE.value, Holds.TIME.value}:
        yield "Choose at least one column with something that was done or measured."
    for name in dict.fromkeys(n for n in names if names.count(n) > 1):
        labels = [meaning.label for meaning in chosen if meaning.only_once == name]
        yield f"Two columns are “{labels[0]}”. Leave one of them out."
    if choice.net_l is None and any(meaning.amount == "%" for meaning in chosen):
        yield "How much water the tank holds is not known, so a percentage tells no amount."


class SheetReader:
    """Reads a sheet once, item by item; `tally` is complete when the items are through."""

    def __init__(self, sheet: Sheet, choice: SheetChoice, *, now: datetime) -> None:
        self.tally = Tally()
        self._sheet = sheet
        self._latest = now + CLOCK_SLIP
        self._choice = choice
        meanings = [(at, MEANINGS[key]) for at, key in enumerate(choice.columns) if key]
        self._date = next(at for at, m in meanings if m.holds is Holds.DATE)
        self._hour = next((at for at, m in meanings if m.holds is Holds.TIME), None)
        self._note = next((at for at, m in meanings if m.holds is Holds.NOTE), None)
        self._measured = [
            _Column(at, m.quantity, m.unit) for at, m in meanings if m.quantity and m.unit
        ]
        self._done = [(at, m) for at, m in meanings if m.holds in _DRAFTS]
        self._last = max(at for at, _ in meanings)
        day_first = choice.day_first
        if day_first is None:
            day_first = day_first_of(sheet.column(self._date))
        self._clock = WallClock(choice.zone, day_first=day_first, noon=choice.noon)

    def items(self) -> Iterator[Item]:
        """What the rows say, in the order of the file.

        Raises:
            Refused: If the file breaks off, a quote is never closed, or it has too many rows.
        """
        tally = self.tally
        for row in self._sheet.rows():
            tally.rows += 1
            if tally.rows > MOST_ROWS:
                raise Refused(f"Up to {MOST_ROWS:,} rows can be read at once. Cut the file in two.")
            try:
                found = self._read(row)
            except BadCell as bad:
                self._refuse(row.line, bad)
                continue
            if not found:
                tally.blanks += 1
            yield from found

    def _refuse(self, line: int, bad: BadCell) -> None:
        self.tally.refused_count += 1
        if len(self.tally.refused) < MOST_TOLD:
            self.tally.refused.append(Told(line, self._heading(bad.column), bad.words))

    def _heading(self, column: int) -> str:
        headings = self._sheet.headings
        return headings[column] if column < len(headings) else f"Column {column + 1}"

    def _read(self, row: Row) -> tuple[Item, ...]:
        cells = row.cells
        if len(cells) <= self._last:
            # spreadsheets leave out what is empty at the end of a row
            cells = [*cells, *[""] * (self._last + 1 - len(cells))]
        readings, doubts = self._readings(cells)
        drafts = [draft for at, m in self._done if (draft := self._draft(cells, at, m)) is not None]
        note = "" if self._note is None else note_of(cells[self._note], self._note)
        if not readings and not drafts and not note:
            return ()
        at, day = self._moment(cells)
        for column, words in doubts:
            self._doubt(row.line, column, words)
        things = _with_note(drafts, readings, note, on_test=not self._choice.by_device)
        return tuple(Item(row.line, at, day, draft, measured) for draft, measured in things)

    def _moment(self, cells: list[str]) -> tuple[datetime, date]:
        text = text_of(cells[self._date], self._date)
        hour = None if self._hour is None else text_of(cells[self._hour], self._hour)
        try:
            at, day = self._clock.moment(text, hour)
        except ValueError as reason:
            words = f"{reason}"
            raise BadCell(self._date, words if words.endswith("?") else f"{words}.") from None
        if at > self._latest:
            raise BadCell(self._date, f"{text[:40]} has not come yet.")
        last_day = self._choice.last_day
        if last_day is not None and day > last_day:
            raise BadCell(self._date, f"This tank was closed on {last_day}.")
        return at, day

    def _readings(self, cells: list[str]) -> tuple[tuple[NewReading, ...], list[tuple[int, str]]]:
        readings: list[NewReading] = []
        doubts: list[tuple[int, str]] = []
        for column in self._measured:
            typed = cells[column.at].strip()
            if typed.casefold() in NOT_WRITTEN:
                continue
            reading, doubt = column.read(typed)
            readings.append(reading)
            if doubt:
                doubts.append((column.at, doubt))
        return tuple(readings), doubts

    def _doubt(self, line: int, column: int, words: str) -> None:
        self.tally.unusual_count += 1
        if len(self.tally.unusual) < MOST_TOLD:
            self.tally.unusual.append(Told(line, self._heading(column), words))

    def _draft(self, cells: list[str], at: int, meaning: Meaning) -> Draft | None:
        text = text_of(cells[at], at)
        word = text.casefold()
        if word in NOT_WRITTEN or (word in NO and meaning.holds is not Holds.SEEN):
            return None
        match meaning.holds:
            case Holds.FED:
                return meal_of(text, at)
            case Holds.CHANGED:
                return change_of(text, at, meaning.amount, self._choice.net_l)
            case _:
                return look_of(text, at)


_DRAFTS: Final = frozenset({Holds.FED, Holds.CHANGED, Holds.SEEN})


class _Column:
    """A column of one quantity; equal cells are judged once."""

    def __init__(self, at: int, quantity: Quantity, unit: Unit) -> None:
        self.at = at
        self._quantity, self._unit = quantity, unit
        self._known: dict[str, tuple[NewReading, str]] = {}
        self._usual: deque[float] = deque(maxlen=_USUAL)

    def read(self, typed: str) -> tuple[NewReading, str]:
        """The reading, and what is to be asked about it, or ""."""
        found = self._known.get(typed)
        if found is None:
            found = self._judge(typed, ())
            if len(self._known) < _MOST_REMEMBERED:
                self._known[typed] = found
        value = found[0].value
        if value is None:
            return found
        if self._usual and may_surprise(self._quantity, self._usual[-1], value) and not found[1]:
            found = self._judge(typed, tuple(self._usual))
        self._usual.append(value)
        return found

    def _judge(self, typed: str, usual: tuple[float, ...]) -> tuple[NewReading, str]:
        if len(typed) > LONGEST_CELL or "\0" in typed:
            raise BadCell(self.at, "No such text can be read.")
        bare = typed.removesuffix(self._unit.symbol).strip()
        refuse_thousands(bare, self.at)
        verdict = check(bare, self._quantity, self._unit, usual=usual)
        if isinstance(verdict, Taken):
            return replace(verdict.readings[0], typed=typed[:40]), ""
        if isinstance(verdict, Unusual):
            said = f"{typed[:40]} {self._unit.symbol}".strip()
            return verdict.held, f"{said} is far from what is usual."
        if isinstance(verdict, Impossible) and number_from(bare) is not None:
            raise BadCell(self.at, verdict.message)
        raise BadCell(self.at, f"{typed[:40]} is no number.")


def _with_note(
    drafts: list[Draft], readings: tuple[NewReading, ...], note: str, *, on_test: bool
) -> Iterator[tuple[Draft, tuple[NewReading, ...]]]:
    """What a row says, its note with the first thing that can carry one."""
    if readings:
        yield NewTest(note=note if on_test else ""), readings
        note = "" if on_test else note
    for draft in drafts:
        if note and not isinstance(draft, NewMeal):
            yield replace(draft, note=note), ()
            note = ""
        else:
            yield draft, ()
    if note:
        yield NewNote(note=note), ()
