"""What the templates of numbers and sources get."""

import re
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final

from flask import url_for

from app.domain import wording
from app.knowledge.model import Number, OutsideCheck, Source

# data files in words; another file goes by its own name
_FILES: Final = {
    "tank": "The tank, its bed and buckets",
    "water": "The water",
    "feeding": "Meals",
    "maintenance": "Water changes, kits and the light",
    "livestock": "Counts, losses and breathing",
    "maturing": "The filter grows up",
    "care": "Routine jobs",
    "breaks": "Weekends and breaks",
    "equipment": "Heater, filter and power",
    "shelf_lives": "How long a look or a test keeps",
    "needs": "Animals that live together",
    "plants": "Plants and food, as estimates take them",
    "waits": "Waits when a tank is started or closed",
    "board": "Many tanks at once",
    "estimates": "What estimates take where nobody measured",
    "notebook": "Photos in the notebook",
}


_SHORT: Final = {"ph": "pH", "gh": "GH", "kh": "KH"}


@dataclass(frozen=True, slots=True)
class NumberGroup:
    """Numbers of one subject; cells are what, value, how sure, what for and from where."""

    title: str
    rows: tuple[tuple[str, str, str, str], ...]


@dataclass(frozen=True, slots=True)
class NumbersPage:
    """The files: title, address and how many numbers; and the checks against the outside."""

    files: tuple[tuple[str, str, int], ...]
    count: int
    checks: tuple[tuple[str, str, str, str, str, str], ...]


@dataclass(frozen=True, slots=True)
class FilePage:
    """Every number of one file, in groups."""

    title: str
    groups: tuple[NumberGroup, ...]
    count: int


@dataclass(frozen=True, slots=True)
class SourcesPage:
    """Every publication with what comes from it."""

    rows: tuple[tuple[str, str], ...]


def numbers_page(numbers: Sequence[Number], checks: Iterable[OutsideCheck]) -> NumbersPage:
    """The page from the numbers, by the file that holds them, and the checks."""
    counts: dict[str, int] = defaultdict(int)
    for number in numbers:
        counts[number.file] += 1
    files = tuple(
        (_title(file), url_for("numbers.of_file", file=file), many) for file, many in counts.items()
    )
    rows = tuple((c.what, c.against, c.range, c.difference, c.allowed, c.source) for c in checks)
    return NumbersPage(files, len(numbers), rows)


def file_page(
    file: str, numbers: Iterable[tuple[Number, Source | None]], *, fahrenheit: bool
) -> FilePage:
    """The page from the numbers of a file with their sources, grouped by subject."""
    groups: dict[str, list[tuple[str, str, str, str]]] = {}
    for number, source in numbers:
        group, value = number.key.partition(".")[0], _value(number, fahrenheit=fahrenheit)
        said = " ".join(filter(None, (number.note, f"Source: {source.title}" if source else "")))
        row = (_what(number), value, number.basis.value, said or "–")
        groups.setdefault(group, []).append(row)
    found = tuple(NumberGroup(_label(name), tuple(rows)) for name, rows in groups.items())
    return FilePage(_title(file), found, sum(len(group.rows) for group in found))


def sources_page(
    sources: Iterable[Source], numbers: Iterable[Number], *, fahrenheit: bool
) -> SourcesPage:
    """The page from the publications and the numbers that name them."""
    used: dict[str, list[str]] = defaultdict(list)
    for number in numbers:
        value = _value(number, fahrenheit=fahrenheit)
        used[number.source].append(f"{_what(number)} {value} ({_title(number.file)})")
    return SourcesPage(
        tuple(
            (s.title, "; ".join(used[s.key]) or "Cautions, equations and remarks") for s in sources
        )
    )


def _title(file: str) -> str:
    return _FILES.get(file) or _label(file)


def _what(number: Number) -> str:
    return _label(number.key.partition(".")[2])


def _label(key: str) -> str:
    """A part of a key as a label: "ph-apart" gives "pH apart"."""
    words = [_SHORT.get(word, word) for word in re.split("[-_]", key)]
    first = words[0] if words[0] in _SHORT.values() else words[0].capitalize()
    return " ".join((first, *words[1:]))


def _value(number: Number, *, fahrenheit: bool) -> str:
    return wording.known_amount(number.value, number.unit, fahrenheit=fahrenheit)
