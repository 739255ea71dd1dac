"""A keeper's own table as it was saved by a spreadsheet: encoding, delimiter, headings, rows.

Pure, and read line by line: a file is never held as rows.
"""

import io
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import Final

from app.domain import logger_times
from app.domain.errors import Refused
from app.domain.guard import number_from
from app.domain.logger_table import BROKEN_OFF, Row, encoding_of, rows
from app.domain.sheet_columns import is_known

DELIMITERS: Final = ("\t", ";", ",", "|")
MOST_COLUMNS: Final = 24
"""Of more columns nobody could choose on one page."""
MOST_ROWS: Final = 200_000
_LINES_LOOKED_AT: Final = 20
_LONGEST_HEADING: Final = 60
_ONE_COLUMN: Final = "No table is found in it: there is one column only. A date needs one more."


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """A table that can be read row by row.

    `headings` has a name for each column; `heading_line` is 0 where the file has no headings.
    `samples` are the first rows under them.
    """

    content: bytes
    encoding: str
    delimiter: str
    heading_line: int
    headings: tuple[str, ...]
    samples: tuple[Row, ...]

    def rows(self) -> Iterator[Row]:
        """The rows under the headings, from the start.

        Raises:
            Refused: If a quote is never closed, a cell has no end or the text breaks off.
        """
        found = _rows(self.content, self.encoding, self.delimiter)
        return (row for row in found if row.line > self.heading_line)

    def column(self, number: int) -> Iterator[str]:
        """The cells of a column, counted from 0, that are not empty."""
        for row in self.rows():
            if number < len(row.cells) and row.cells[number].strip():
                yield row.cells[number].strip()


def opened(content: bytes) -> Sheet:
    """Find out how a table is written.

    Raises:
        Refused: If it is no text, holds no table, or is larger than can be read.
    """
    encoding = encoding_of(content)
    found = [_layout(content, encoding, delimiter) for delimiter in DELIMITERS]
    (_, columns), sheet, _ = max(found, key=lambda each: each[0])
    if sheet is None or columns < 2:
        broken = next((problem for _, _, problem in found if problem), "")
        raise Refused(broken or (_ONE_COLUMN if sheet else "The file is empty."))
    if len(sheet.headings) > MOST_COLUMNS:
        raise Refused(
            f"Line {sheet.heading_line or 1} has {len(sheet.headings)} columns; up to "
            f"{MOST_COLUMNS} can be read. Delete the columns that matter least, then save it again."
        )
    if not sheet.samples:
        raise Refused("There is no row under the headings.")
    return sheet


def _rows(content: bytes, encoding: str, delimiter: str) -> Iterator[Row]:
    # newline=None: a carriage return alone ends a line too
    lines = io.TextIOWrapper(io.BytesIO(content), encoding=encoding, newline=None)
    try:
        yield from rows(lines, delimiter)
    except UnicodeDecodeError:
        raise Refused(BROKEN_OFF) from None


def _layout(
    content: bytes, encoding: str, delimiter: str
) -> tuple[tuple[int, int], Sheet | None, str]:
    """How well a delimiter fits, the table it makes, and what speaks against it."""
    first, problem = _first_rows(content, encoding, delimiter)
    if not first:
        return (-1, 0), None, problem
    heading = max(first, key=lambda row: (_known_in(row.cells), _is_wide(row.cells), -row.line))
    has_headings = not _holds_values(heading.cells)
    samples = [row for row in first if not has_headings or row.line > heading.line]
    known = _known_in(heading.cells) if has_headings else _dates_in(heading.cells)
    sheet = Sheet(
        content=content,
        encoding=encoding,
        delimiter=delimiter,
        heading_line=heading.line if has_headings else 0,
        headings=_headings(heading.cells, named=has_headings),
        samples=tuple(samples),
    )
    # a quote that stands open speaks against a delimiter only where another one fits
    return (known if not problem else -1, len(heading.cells)), None if problem else sheet, problem


def _first_rows(content: bytes, encoding: str, delimiter: str) -> tuple[list[Row], str]:
    found: list[Row] = []
    try:
        found.extend(islice(_rows(content, encoding, delimiter), _LINES_LOOKED_AT + 1))
    except Refused as refused:
        return found, str(refused)
    return found, ""


def _headings(cells: Sequence[str], *, named: bool) -> tuple[str, ...]:
    """A name for each column; columns at the end without one are no columns."""
    last = max((at for at, cell in enumerate(cells) if cell.strip()), default=0)
    return tuple(
        (" ".join(cell.split())[:_LONGEST_HEADING] if named else "") or f"Column {at + 1}"
        for at, cell in enumerate(cells[: last + 1])
    )


def _is_wide(cells: Sequence[str]) -> bool:
    return sum(bool(cell.strip()) for cell in cells) > 1


def _known_in(cells: Sequence[str]) -> int:
    return sum(is_known(cell) for cell in cells[: MOST_COLUMNS + 1])


def _dates_in(cells: Sequence[str]) -> int:
    return sum(logger_times.is_date(cell) for cell in cells[: MOST_COLUMNS + 1])


def _holds_values(cells: Sequence[str]) -> bool:
    """Whether a row holds a date and a number: then the file has no headings."""
    return _dates_in(cells) > 0 and any(number_from(cell) is not None for cell in cells)
