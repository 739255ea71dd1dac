"""What the templates of this folder get."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from app.domain import wording
from app.knowledge.model import Number, Source, Word


@dataclass(frozen=True, slots=True)
class WordsPage:
    """All terms; `device_url` leads a grown-up out of the helpers' four pages."""

    rows: tuple[tuple[str, str, str], ...]
    device_url: str


@dataclass(frozen=True, slots=True)
class NumberGroup:
    """Numbers of one subject; cells are what, value, how sure, what for and from where."""

    title: str
    anchor: str
    rows: tuple[tuple[str, str, str, str], ...]


@dataclass(frozen=True, slots=True)
class NumbersPage:
    """Every number, in groups."""

    groups: tuple[NumberGroup, ...]
    count: int


def words_page(words: Sequence[Word], device_url: str) -> WordsPage:
    """The page from the terms."""
    return WordsPage(tuple((w.label, w.meaning, w.child) for w in words), device_url)


def numbers_page(numbers: Iterable[tuple[Number, Source | None]]) -> NumbersPage:
    """The page from the numbers with their sources, grouped by the first part of their keys."""
    groups: dict[str, list[tuple[str, str, str, str]]] = {}
    for number, source in numbers:
        group, _, name = number.key.partition(".")
        what = name.replace("-", " ").capitalize()
        value = wording.with_unit(wording.short(number.value), number.unit)
        said = " ".join(filter(None, (number.note, f"Source: {source.title}" if source else "")))
        groups.setdefault(group, []).append((what, value, number.basis, said or "–"))
    found = tuple(
        NumberGroup(name.replace("_", " ").capitalize(), name, tuple(rows))
        for name, rows in groups.items()
    )
    return NumbersPage(found, sum(len(group.rows) for group in found))
