"""The file of a logger as a table: its encoding, its delimiter, and which columns matter."""

import codecs
import csv
import io
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Final, NamedTuple

from app.domain.errors import Refused

DELIMITERS: Final = ("\t", ";", ",")
MOST_COLUMNS: Final = 256
LONGEST_CELL: Final = 200
MOST_EMPTY_LINES: Final = 20_000
"""More than a spreadsheet leaves at the end of a table; a file of line ends has millions."""
# loggers write some lines about themselves before the headings
_LINES_BEFORE_HEADINGS: Final = 60
_BLOCK: Final = 65_536
# the library has a limit too, but any other code in the process may lift it
_LONGEST_RAW_CELL: Final = 131_072

_DATE_WORD = re.compile(r"\b(date|timestamp|datetime)\b")
_TIME_WORD = re.compile(r"\b(time|hour|hours|clock|timestamp|datetime)\b")
_VALUE_WORD = re.compile(r"\b(temp|temperature|celsius|fahrenheit)\b|°\s*[cf]\b")
_UNIT = re.compile(r"(°|\bdeg(?:rees)?\b|[(\[,_ ])\s*\.?\s*([CF])\b", re.IGNORECASE)
_OFFSET = re.compile(r"\b(?:GMT|UTC)\s*([+-]\s*\d{1,2}(?::?\d{2})?)?\b", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnChoice:
    """What somebody said about the file; empty where the file itself has to tell.

    Columns are named by their heading, or by their number from 1. `unit` is "°C" or "°F".
    `zone` is the name of a time zone or a fixed offset such as "-05:00". `day_first` says how
    4/5/2027 is meant.
    """

    time: str = ""
    hour: str = ""
    value: str = ""
    unit: str = ""
    zone: str = ""
    day_first: bool | None = None


@dataclass(frozen=True, slots=True)
class Question:
    """What has to be said before the file can be read: `about` names a field of the choice."""

    about: str
    text: str
    options: tuple[str, ...] = ()


class Row(NamedTuple):
    """A row with the number of the line it begins in."""

    line: int
    cells: list[str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Layout:
    """Where in the table things stand: column numbers from 0, None where nobody knows yet."""

    delimiter: str
    heading_line: int
    headings: tuple[str, ...]
    time: int | None
    hour: int | None
    value: int | None

    def heading(self, column: int | None) -> str:
        """The heading of a column, or its number where it has none."""
        if column is None:
            return ""
        named = self.headings[column].strip() if column < len(self.headings) else ""
        return named or f"column {column + 1}"


BROKEN_OFF: Final = "The file breaks off in the middle of a letter."


def decoded(content: bytes | str) -> str:
    """The text of a file: UTF-8 with or without a mark, UTF-16, else as Windows writes it.

    Raises:
        Refused: If it is UTF-16 that breaks off, or no text at all.
    """
    if isinstance(content, str):
        return content.removeprefix("\ufeff")
    try:
        return content.decode(encoding_of(content)).removeprefix("\ufeff")
    except UnicodeDecodeError:
        raise Refused(BROKEN_OFF) from None


def encoding_of(content: bytes) -> str:
    """In which encoding a file is written, told from its bytes.

    Raises:
        Refused: If it is no text at all.
    """
    start = content[:4096]
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        return "utf-16"
    # every other byte of Latin text in UTF-16 is zero
    if len(start) >= 4 and start[1::2].count(0) > len(start) // 3:
        return "utf-16-le"
    if len(start) >= 4 and start[0::2].count(0) > len(start) // 3:
        return "utf-16-be"
    if 0 in start:
        raise Refused("This is no text file. Export the readings as CSV first.")
    return next(e for e in ("utf-8-sig", "cp1252", "latin-1") if _fits(content, e))


def _fits(content: bytes, encoding: str) -> bool:
    # block by block: the text of a large file is not held beside it
    decoder = codecs.getincrementaldecoder(encoding)()
    try:
        for start in range(0, len(content), _BLOCK):
            decoder.decode(content[start : start + _BLOCK])
        decoder.decode(b"", final=True)
    except UnicodeDecodeError:
        return False
    return True


def rows(text: str | Iterable[str], delimiter: str) -> Iterator[Row]:
    """The rows of a text, or of its lines, that are not empty, one after the other.

    Raises:
        Refused: If a quote is never closed or a cell has no end; the text names the line. Or if
            there are very many empty lines.
    """
    lines = io.StringIO(text, newline=None) if isinstance(text, str) else text
    reader = csv.reader(lines, delimiter=delimiter, strict=True)
    before = empty = 0
    while True:
        try:
            cells = next(reader)
        except StopIteration:
            return
        except csv.Error:
            cells = None
        if cells is None or max(map(len, cells), default=0) > _LONGEST_RAW_CELL:
            raise Refused(
                f"Line {before + 1} has a quote that is never closed, or a cell without end."
            )
        if any(map(str.strip, cells)):
            yield Row(before + 1, cells)
        else:
            empty += 1
        if empty > MOST_EMPTY_LINES:
            raise Refused(
                f"The file has more than {MOST_EMPTY_LINES:,} empty lines. Delete them, "
                "then save it again."
            )
        before = reader.line_num


def layout_of(text: str, choice: ColumnChoice) -> Layout:
    """Find the headings and the columns, with the delimiter that fits best.

    Raises:
        Refused: If the file is empty, or a chosen column is not there.
    """
    best: Layout | None = None
    best_rank = (-1, -1)
    for delimiter in DELIMITERS:
        for row in islice(_patiently(text, delimiter), _LINES_BEFORE_HEADINGS):
            found = _layout(row, delimiter, choice)
            known = sum(column is not None for column in (found.time, found.value))
            rank = (known, len(row.cells))
            if rank > best_rank:
                best, best_rank = found, rank
    if best is None:
        raise Refused("The file is empty.")
    if len(best.headings) > MOST_COLUMNS:
        raise Refused(
            f"Line {best.heading_line} has {len(best.headings)} columns; "
            f"up to {MOST_COLUMNS} can be read."
        )
    for about, column in (("time", best.time), ("hour", best.hour), ("value", best.value)):
        wanted = getattr(choice, about)
        if wanted and column is None:
            raise Refused(f"No column is called {wanted[:40]}. {_columns_there(best)}")
    return best


def _columns_there(layout: Layout) -> str:
    return f"The file has: {', '.join(h.strip()[:40] for h in layout.headings[:20])}."


def _patiently(text: str, delimiter: str) -> Iterator[Row]:
    # with the wrong delimiter a quote may stand open: that delimiter is then not it
    try:
        yield from rows(text, delimiter)
    except Refused:
        if delimiter == DELIMITERS[-1]:
            raise


def _layout(row: Row, delimiter: str, choice: ColumnChoice) -> Layout:
    plain = [plain_heading(cell) for cell in row.cells]
    time, hour = _time_columns(plain)
    if choice.time:
        time, hour = _named(row.cells, choice.time), None
    if choice.hour:
        hour = _named(row.cells, choice.hour)
    value = _named(row.cells, choice.value) if choice.value else _value_column(plain)
    if len(row.cells) < 2:  # all the headings in one cell: another delimiter is meant
        time = hour = value = None
    return Layout(
        delimiter=delimiter,
        heading_line=row.line,
        headings=tuple(row.cells),
        time=time,
        hour=hour,
        value=value,
    )


def plain_heading(heading: str) -> str:
    """A heading in small letters, its words apart: "WaterTemp_(°C)" is "water temp °c"."""
    spaced = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", heading[:LONGEST_CELL])
    return re.sub(r"[^\w°]+|_", " ", spaced).casefold().strip()


def _named(headings: Sequence[str], wanted: str) -> int | None:
    for column, heading in enumerate(headings):
        if heading.strip().casefold() == wanted.strip().casefold():
            return column
    if wanted.isascii() and wanted.isdigit() and 0 < int(wanted) <= len(headings):
        return int(wanted) - 1
    return None


def _time_columns(plain: Sequence[str]) -> tuple[int | None, int | None]:
    dates = [column for column, text in enumerate(plain) if _DATE_WORD.search(text)]
    times = [column for column, text in enumerate(plain) if _TIME_WORD.search(text)]
    both = [column for column in dates if column in times]
    if both:
        return both[0], None
    if dates:
        return dates[0], times[0] if times else None
    return (times[0], None) if len(times) == 1 else (None, None)


def _value_column(plain: Sequence[str]) -> int | None:
    values = [column for column, text in enumerate(plain) if _VALUE_WORD.search(text)]
    of_water = [column for column in values if "water" in plain[column]]
    for found in (values, of_water):
        if len(found) == 1:
            return found[0]
    return None


def unit_in(heading: str) -> str:
    """The unit that a heading names, "°C" or "°F", or an empty text."""
    plain = heading[:LONGEST_CELL].casefold()
    for word, unit in (("celsius", "°C"), ("fahrenheit", "°F")):
        if word in plain:
            return unit
    named = {match[2].upper() for match in _UNIT.finditer(heading[:LONGEST_CELL])}
    return f"°{named.pop()}" if len(named) == 1 else ""


def zone_in(heading: str) -> str:
    """The offset that a heading names, as "-05:00" or "UTC", or an empty text."""
    match = _OFFSET.search(heading[:LONGEST_CELL])
    if match is None:
        return ""
    return match[1].replace(" ", "") if match[1] else "UTC"
