"""What the cells of a keeper's own table say: texts, numbers, meals, water changes, or nothing."""

import re
from dataclasses import replace
from typing import Final

from app.domain.drafts import (
    LONGEST_NOTE,
    MOST_ANIMALS,
    MOST_LITERS,
    MOST_SCOOPS,
    NewJob,
    NewLook,
    NewMeal,
)
from app.domain.guard import number_from
from app.domain.logger_table import LONGEST_CELL
from app.domain.records import JobKind, Treated
from app.science.units import liters_from_us_gallons

NOT_WRITTEN: Final = frozenset({"", "-", "--", "---", "?", "na", "n/a", "nan", "null", "none"})
_YES: Final = frozenset({"yes", "y", "x", "true", "ok", "✓", "✔", "done", "ja", "si", "sí", "oui"})
NO: Final = frozenset({"no", "n", "false", "0", "nein", "non"})
_THOUSANDS: Final = re.compile(r"[+-]?\d{1,3},\d{3}", re.ASCII)
# what no keyboard writes and no page may hold
_UNPRINTABLE: Final = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufdd0-\ufdef\ufffe\uffff]")


class BadCell(Exception):
    """A cell that cannot be read."""

    def __init__(self, column: int, words: str) -> None:
        super().__init__(words)
        self.column = column
        self.words = words


def text_of(text: str, column: int) -> str:
    """The text of a cell.

    Raises:
        BadCell: If it is too long, or holds what no keyboard writes.
    """
    found = text.strip()
    if len(found) > LONGEST_CELL or _UNPRINTABLE.search(found):
        raise BadCell(column, "No such text can be read.")
    return found


def note_of(text: str, column: int) -> str:
    """The note in a cell, on one line.

    Raises:
        BadCell: If it is too long, or holds what no keyboard writes.
    """
    found = " ".join(text.split())
    if len(found) > LONGEST_NOTE:
        raise BadCell(column, f"The note is too long: {LONGEST_NOTE} letters are the most.")
    if _UNPRINTABLE.search(found):
        raise BadCell(column, "No such text can be read.")
    return found


def refuse_thousands(text: str, column: int) -> None:
    """Refuse a number that is another one in another country, such as 1,000.

    Raises:
        BadCell: If it is one.
    """
    if _THOUSANDS.fullmatch(text):
        raise BadCell(column, f"{text} may be thousands or a fraction. Write it without the comma.")


def number_of(
    text: str, column: int, unit: str, low: float, high: float, *, whole: bool = False
) -> float:
    """A number from `low` to `high`, also with its unit behind it.

    Raises:
        BadCell: If it is none, or out of these.
    """
    bare = text.casefold().removesuffix(unit.casefold()).strip()
    refuse_thousands(bare, column)
    number = number_from(bare)
    if number is None or (whole and number != int(number)):
        raise BadCell(column, f"{text[:40]} is no {'whole ' if whole else ''}number.")
    if not low <= float(number) <= high:
        raise BadCell(column, f"{text[:40]} cannot be: {low:g} to {high:g} {unit} can be.")
    return float(number)


def meal_of(text: str, column: int) -> NewMeal:
    """A meal by its scoops, a yes, or words.

    Raises:
        BadCell: If no meal has so many scoops.
    """
    if text.casefold() in _YES:
        return NewMeal(scoops=None)
    if number_from(text) is None:
        return NewMeal(scoops=None, amount_words=text[:80])
    return NewMeal(scoops=number_of(text, column, "scoops", 0.1, MOST_SCOOPS))


def look_of(text: str, column: int) -> NewLook:
    """A look with the animals that were counted.

    Raises:
        BadCell: If it is no count.
    """
    return NewLook(seen=int(number_of(text, column, "animals", 0, MOST_ANIMALS, whole=True)))


def change_of(text: str, column: int, unit: str, net_l: float | None) -> NewJob:
    """A water change by a yes, or by its amount in L, gal or % of `net_l` liters.

    Raises:
        BadCell: If the amount cannot be.
    """
    job = NewJob(job=JobKind.WATER_CHANGE, treated=Treated.UNKNOWN)
    if text.casefold() in _YES:
        return job
    liters = number_of(text, column, unit, 0.1, 100.0 if unit == "%" else MOST_LITERS)
    if unit == "gal":
        liters = round(liters_from_us_gallons(liters), 3)
    elif unit == "%":
        liters = round((net_l or 0.0) * liters / 100.0, 3)
    return replace(job, liters_out=liters, liters_in=liters)
