"""CSV as text: cells that a spreadsheet opens as what they are, and never as a formula."""

import csv
import io
import re
from collections.abc import Sequence
from typing import Final

# the signs of the OWASP page "CSV Injection", with their full-width forms; apostrophes that stand
# before them are counted too, so that one that was put there can be told from one that was typed
_FORMULA: Final = re.compile("'*[=+\\-@\t\r\n\uff1d\uff0b\uff0d\uff20]")
_NUMBER: Final = re.compile(r"[+-]?\d+([.,]\d+)?", re.ASCII)


def csv_cell(value: object) -> str:
    """A value as a cell: nothing for None, up to ten digits, an apostrophe before a formula."""
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.10g}"
    return safe_text(str(value))


def safe_text(text: str) -> str:
    """A text as a cell: an apostrophe before what a spreadsheet would take for a formula."""
    if _FORMULA.match(text) and not _NUMBER.fullmatch(text):
        return f"'{text}"
    return text


def text_in(cell: str) -> str:
    """The text that `safe_text` made a cell of."""
    return cell[1:] if cell.startswith("'") and _FORMULA.match(cell) else cell


def csv_line(cells: Sequence[str]) -> str:
    """One row with its line end."""
    line = io.StringIO()
    csv.writer(line).writerow(cells)
    return line.getvalue()
